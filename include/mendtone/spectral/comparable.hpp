#pragma once
#include <string>
#include <vector>

#include "mendtone/spectral/reading.hpp"

namespace mendtone {

/// May two readings be compared? Refusals name what forbids it; warnings stand where it is sound
/// but weaker, and go into the result.
struct Comparability {
  std::vector<std::string> refusals;
  std::vector<std::string> warnings;
  bool allowed() const { return refusals.empty(); }
};

/// Compares all that two readings' files say of how they were made, after ISO 13655: quantity,
/// M condition, geometry, backing, plies, side, state, light and observer of Lab-only readings.
/// A fact that only one of them states gives a warning; instrument, aperture and lot only warn.
/// M1 with M2 is refused: their difference is the brightener's, not the sheet's. Ref: iso13655
Comparability comparability(const Reading& before, const Reading& after);

/// True when the two are one sheet's M1 and M2 readings (in either order) and nothing else forbids
/// comparing them: the pair that a brightener is looked for with.
bool is_brightener_pair(const Reading& one, const Reading& two);

}  // namespace mendtone
