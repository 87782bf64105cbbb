#pragma once
#include <cstdint>
#include <string>
#include <vector>

#include "mendtone/materials/palette.hpp"

namespace mendtone {

/// A swatch worth making.
struct AdvisedSwatch {
  std::vector<double> loads;  ///< one per colorant of the palette
  /// Root mean square uncertainty of likely mixtures, CIEDE2000, before and after reading it (and
  /// those advised before it).
  double before_de00 = 0, after_de00 = 0;
};

struct Advice {
  std::vector<AdvisedSwatch> swatches;  ///< in the order in which to make them
};

/// Which swatches would teach most about likely mixtures: two or three colorants of the palette,
/// each within the loads that were read. Each is chosen as the one that lowers the mean predicted
/// variance most, given those before it (I-optimal on the posterior). Ref: atkinson2007
Advice advise(const Palette& palette, int count, std::uint64_t seed = 1);

}  // namespace mendtone
