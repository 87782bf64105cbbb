#pragma once
#include "materials/calibration_model.hpp"

namespace mendtone::calibration {

/// What the fit believes of its data: colour error that no parameter explains (DE00-like, per
/// axis), and relative error of each load (per colorant and, as much again, per sheet).
struct Noise {
  double colour = 0.5;
  double dosing = 0.05;
};

struct Fit {
  Layout layout;
  Eigen::VectorXd theta;
  Noise noise;
  Eigen::VectorXd weight;       ///< [swatch], robust
  Eigen::VectorXd distance;     ///< [swatch] squared Mahalanobis distance per degree of freedom
  Eigen::MatrixXd information;  ///< normal matrix with prior, all parameters
  Eigen::VectorXd gradient;
  std::vector<bool> free;              ///< false: held at a bound
  Eigen::LLT<Eigen::MatrixXd> factor;  ///< of `information` on the free parameters
  std::vector<Linear> linear;          ///< [swatch], at `theta`
};

/// Weighted non-negative least squares, band by band, in lightness units; the start of every fit.
Eigen::VectorXd start(const Frame& frame, const Layout& layout);

/// The start for a richer law from the fit of a simpler one.
Eigen::VectorXd carried_over(const Layout& from, const Eigen::VectorXd& theta, const Layout& to);

/// Gauss-Newton with Levenberg's damping, bounds and Student weights, from `theta`.
Fit fitted(const Frame& frame, const Layout& layout, Eigen::VectorXd theta, Noise noise);

/// One warm-started step without some swatches: what the fit would have been without them.
Eigen::VectorXd without(const Fit& fit, const std::vector<std::size_t>& held_out);

/// Root of the squared distance per degree of freedom, in CIEDE2000, at which swatch `m` was read
/// from what `theta` says of it, once the error of its own loads, as large as `noise` says, has
/// been integrated out.
double distance_beyond_dosing(const Frame& frame, const Layout& layout,
                              const Eigen::VectorXd& theta, std::size_t m, const Noise& noise);

/// The folds of the cross-validation: one swatch each up to 60, else ten that keep swatches of the
/// same loads together; seeded.
std::vector<std::vector<std::size_t>> folds(const CalibrationProblem& problem);

/// Normal matrix restricted to the free parameters, bound ones replaced by identity.
Eigen::MatrixXd on_free(const Eigen::MatrixXd& information, const std::vector<bool>& free);

}  // namespace mendtone::calibration
