#pragma once
#include <string_view>

#include "mendtone/colour/lab.hpp"

namespace mendtone {

/// Instrumental assessment of a change in colour against the grey scale of the textile trade.
struct GreyScale {
  double deF = 0;         ///< the standard's own difference
  double rating = 5;      ///< 5 (no change) to 1, continuous
  std::string_view step;  ///< the half step that is reported: "5", "4-5" … "1"
};

/// Ref: iso105-a05. The limits of the half steps are from memory; they fall half way in rating.
GreyScale grey_scale(const Lab& before, const Lab& after);

}  // namespace mendtone
