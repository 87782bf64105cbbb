#pragma once
#include <optional>
#include <span>

#include "mendtone/colour/lab.hpp"

namespace mendtone {

/// Where the true mean of repeats lies with 95 % confidence: an interval in L* (Student) and an
/// ellipse in the a*b* plane (Hotelling's T2 for two axes), both about the measured mean.
struct MeanRegion {
  double L_half = 0;
  double ab_major = 0, ab_minor = 0;  ///< half axes
  double ab_angle_deg = 0;            ///< of the major axis, from +a* towards +b*, -90 < x <= 90
  std::size_t n = 0;
};

/// Nothing for fewer than three repeats: two say nothing of a spread in two axes. With three the
/// ellipse is rightly very wide. Ref: hotelling1931
std::optional<MeanRegion> mean_region95(std::span<const Lab> repeats);

}  // namespace mendtone
