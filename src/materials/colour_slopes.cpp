#include "materials/colour_slopes.hpp"

#include <algorithm>
#include <cmath>

#include "mendtone/colour/difference.hpp"

namespace mendtone {

Eigen::Matrix3d de00_metric(const Lab& at) {
  constexpr double step = 1e-3;
  Eigen::Matrix3d parts;
  const auto column = [&](int i, Lab up, Lab down) {
    const De00 d = ciede2000(down, up);
    parts.col(i) = Eigen::Vector3d(d.lightness, d.chroma, d.hue) / (2 * step);
  };
  column(0, {at.L + step, at.a, at.b}, {at.L - step, at.a, at.b});
  column(1, {at.L, at.a + step, at.b}, {at.L, at.a - step, at.b});
  column(2, {at.L, at.a, at.b + step}, {at.L, at.a, at.b - step});
  // The rotation term, from one step that has both chroma and hue in it.
  const Eigen::Vector3d mixed = parts.inverse() * Eigen::Vector3d(0, step, step);
  const De00 d = ciede2000(at, {at.L + mixed[0], at.a + mixed[1], at.b + mixed[2]});
  const double both = d.chroma * d.hue;
  const double rotation =
      std::abs(both) > 0
          ? (d.value * d.value - d.lightness * d.lightness - d.chroma * d.chroma - d.hue * d.hue) /
                both
          : 0;
  const double r = std::clamp(rotation / 2, -0.99, 0.99);
  Eigen::Matrix3d root = Eigen::Matrix3d::Identity();
  root(1, 2) = r;
  root(2, 2) = std::sqrt(1 - r * r);
  return root * parts;
}

Eigen::Matrix3d lab_by_xyz(const Xyz& xyz, const Xyz& white) {
  const auto slope = [](double t, double n) {
    constexpr double edge = 6.0 / 29;
    const double x = t / n;
    return (x > edge * edge * edge ? 1 / (3 * std::cbrt(x) * std::cbrt(x))
                                   : 1 / (3 * edge * edge)) /
           n;
  };
  const double fx = slope(xyz.X, white.X), fy = slope(xyz.Y, white.Y), fz = slope(xyz.Z, white.Z);
  Eigen::Matrix3d J;
  J << 0, 116 * fy, 0, 500 * fx, -500 * fy, 0, 0, 200 * fy, -200 * fz;
  return J;
}

}  // namespace mendtone
