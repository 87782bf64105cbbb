#pragma once
#include "mendtone/colour/lab.hpp"

namespace mendtone::detail {

/// What CIEDE2000 makes of a pair before the differences are weighted; symbols of Sharma, Wu &
/// Dalal 2005.
struct De00Terms {
  double dL = 0, dC = 0, dH = 0;  ///< dL', dC', dH'
  double SL = 1, SC = 1, SH = 1, RT = 0;
  double G = 0;
  double hbar = 0;  ///< mean hue, degrees
};

De00Terms de00_terms(const Lab& one, const Lab& two);

}  // namespace mendtone::detail
