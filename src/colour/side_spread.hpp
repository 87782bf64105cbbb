#pragma once
#include <Eigen/Core>
#include <array>

#include "mendtone/base/random.hpp"

namespace mendtone::detail {

/// Repeats of one side of a comparison: how many, and the sum of squares and products about their
/// mean, in axes where CIEDE2000 is a length.
struct SideReadings {
  int n = 1;
  Eigen::Matrix3d scatter = Eigen::Matrix3d::Zero();
  int freedom() const { return n - 1; }
};

/// What is known of the size of one reading's error before any repeat was read.
struct KnownSize {
  double variance = 0;  ///< per axis
  double freedom = 0;   ///< what it is worth, in squared readings of one axis; 0: nothing is known
};

/// Covariance of one reading's error on each side, and what the difference of the means makes of
/// them.
struct SideSpreads {
  std::array<Eigen::Matrix3d, 2> reading{};
  std::array<int, 2> n{1, 1};
  std::array<double, 2> freedom{};  ///< with which the size of each is known

  /// Of the difference of the two means.
  Eigen::Matrix3d of_difference() const;
};

/// Each side has a size of its own. The form (which axis spreads how much) is shared, since few
/// readings cannot tell it; the more readings a side has, the more it has a form of its own. A side
/// of one reading spreads as the other does. Contract: a side of two or more readings, or a known
/// size.
SideSpreads side_spreads(const SideReadings& before, const SideReadings& after,
                         const KnownSize& known);

/// One session as it might have gone: readings that spread as `spreads` says.
struct SessionDraw {
  Eigen::Vector3d error;  ///< of the difference of the means
  SideSpreads estimated;  ///< what would have been made of its readings
};

/// The ratio of the two sizes is itself uncertain: each is drawn from what its readings leave open,
/// so that the interval is a little wide rather than narrow (Behrens and Fisher's problem).
/// Ref: welch1947
SessionDraw draw_session(CounterRandom& random, const SideSpreads& spreads, const KnownSize& known);

/// Chi-square. Contract: freedom > 0. Ref: marsaglia2000
double draw_chi_square(CounterRandom& random, double freedom);

}  // namespace mendtone::detail
