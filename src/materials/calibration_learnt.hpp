#pragma once
#include "materials/calibration_fit.hpp"

// A residual over loads, learnt on top of a fitted law.
namespace mendtone::calibration {

/// How far a swatch informs and how much of what is left is signal; chosen by leave-one-out.
struct LearntShape {
  double reach = 1, signal_to_noise = 1;
  std::vector<std::vector<double>> shape;
};

/// What ln K lacks at each swatch and band, weak evidence pulled to 0.
Eigen::MatrixXd lacking(const Frame& frame, const Layout& layout, const Eigen::VectorXd& theta);

/// Shapes, reach and strength from all swatches. Contract: at least as many swatches as shapes.
LearntShape learnt_shape(const Frame& frame, const Eigen::MatrixXd& lacking,
                         const Eigen::VectorXd& weight);

/// The residual learnt from the swatches that are not `held_out`.
LearntResidual learnt_from(const Frame& frame, const LearntShape& shape,
                           const Eigen::MatrixXd& lacking, const Eigen::VectorXd& weight,
                           const std::vector<std::size_t>& held_out);

}  // namespace mendtone::calibration
