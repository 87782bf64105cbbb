#pragma once
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "mendtone/colour/lab.hpp"
#include "mendtone/spectral/reading_set.hpp"

namespace mendtone {

/// What ultraviolet adds: M1 (with) minus M2 (without), under D50 and 2 degrees.
struct Brightener {
  std::string name;
  double de00 = 0;
  double db = 0;         ///< below 0: bluer under ultraviolet
  bool flagged = false;  ///< bluer, and by CIEDE2000 0.5 or more
};

/// The flag from one M1 and one M2 colour. The threshold is common practice, no source.
Brightener brightener(std::string name, const Lab& m1, const Lab& m2);

/// Every name that was read under M1 and M2 and is otherwise comparable. Both lists are searched
/// as one; Lab-only readings are left out. Refuses spectra too short for a colour.
Result<std::vector<Brightener>> brighteners(std::span<const Repeats> groups);

}  // namespace mendtone
