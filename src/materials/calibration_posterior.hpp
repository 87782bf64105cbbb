#pragma once
#include "materials/calibration_fit.hpp"

// What a fit leaves open, and what would teach more.
namespace mendtone::calibration {

/// What is not known, kept as the few directions that matter to the colour of likely mixtures;
/// writes standard errors into the palette too, and the condition number of the fit.
struct Open {
  Posterior posterior;
  double condition_number = 0;
};
Open what_is_open(const Frame& frame, const Fit& fit, Palette& palette);

/// The swatches that would lower the mean predicted variance of likely mixtures most, each given
/// those before it. `lack_de00`: what the law itself strays by, an axis.
std::vector<AdvisedSwatch> advised(const Frame& frame, const Fit& fit, double lack_de00, int count);

}  // namespace mendtone::calibration
