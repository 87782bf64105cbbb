#pragma once
#include <span>
#include <vector>

#include "mendtone/materials/palette.hpp"

namespace mendtone {

/// exp(sum_p shape_p z_p(loads)), per band.
std::vector<double> learnt_factor(const LearntResidual& learnt, std::span<const double> loads);

/// The factor and d ln factor / d load, [colorant * bands + band].
struct LearntSlopes {
  std::vector<double> factor, dlog;
};
LearntSlopes learnt_slopes(const LearntResidual& learnt, std::span<const double> loads);

/// Covariance of z between two mixtures, before scaling: a squared exponential in the coordinates
/// u = ln(1 + 4 c / load_scale) / ln 5, in which a doubling counts alike over most of the range.
double learnt_kernel(const LearntResidual& learnt, std::span<const double> one,
                     std::span<const double> two);

}  // namespace mendtone
