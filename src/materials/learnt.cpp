#include "materials/learnt.hpp"

#include <cmath>

namespace mendtone {
namespace {

constexpr double stretch = 4;

double coordinate(double load, double scale) {
  return std::log1p(stretch * load / scale) / std::log1p(stretch);
}

double coordinate_slope(double load, double scale) {
  return stretch / scale / (1 + stretch * load / scale) / std::log1p(stretch);
}

}  // namespace

double learnt_kernel(const LearntResidual& learnt, std::span<const double> one,
                     std::span<const double> two) {
  double square = 0;
  for (std::size_t j = 0; j < one.size(); ++j) {
    if (one[j] == two[j]) continue;  // most colorants are in neither
    const double d =
        coordinate(one[j], learnt.load_scale[j]) - coordinate(two[j], learnt.load_scale[j]);
    square += d * d;
  }
  return std::exp(-square / (2 * learnt.reach * learnt.reach));
}

std::vector<double> learnt_factor(const LearntResidual& learnt, std::span<const double> loads) {
  std::vector<double> log_factor(learnt.shape.empty() ? 0 : learnt.shape[0].size(), 0.0);
  std::vector<double> z(learnt.shape.size(), 0.0);
  for (std::size_t m = 0; m < learnt.site.size(); ++m) {
    const double near = learnt_kernel(learnt, loads, learnt.site[m]);
    for (std::size_t p = 0; p < z.size(); ++p) z[p] += learnt.weight[p][m] * near;
  }
  for (std::size_t p = 0; p < z.size(); ++p)
    for (std::size_t i = 0; i < log_factor.size(); ++i) log_factor[i] += learnt.shape[p][i] * z[p];
  for (double& value : log_factor) value = std::exp(value);
  return log_factor;
}

LearntSlopes learnt_slopes(const LearntResidual& learnt, std::span<const double> loads) {
  const std::size_t bands = learnt.shape.empty() ? 0 : learnt.shape[0].size();
  const std::size_t shapes = learnt.shape.size(), n = loads.size();
  LearntSlopes at{learnt_factor(learnt, loads), std::vector<double>(n * bands, 0.0)};
  std::vector<double> dz(shapes * n, 0.0);
  for (std::size_t m = 0; m < learnt.site.size(); ++m) {
    const double near = learnt_kernel(learnt, loads, learnt.site[m]);
    for (std::size_t j = 0; j < n; ++j) {
      const double scale = learnt.load_scale[j];
      const double d = coordinate(loads[j], scale) - coordinate(learnt.site[m][j], scale);
      const double slope =
          -near * d / (learnt.reach * learnt.reach) * coordinate_slope(loads[j], scale);
      for (std::size_t p = 0; p < shapes; ++p) dz[p * n + j] += learnt.weight[p][m] * slope;
    }
  }
  for (std::size_t p = 0; p < shapes; ++p)
    for (std::size_t j = 0; j < n; ++j)
      for (std::size_t i = 0; i < bands; ++i)
        at.dlog[j * bands + i] += learnt.shape[p][i] * dz[p * n + j];
  return at;
}

}  // namespace mendtone
