#include "mendtone/colour/lab.hpp"

#include <cmath>
#include <numbers>

namespace mendtone {
namespace {

constexpr double edge = 6.0 / 29;

double f(double t) {
  return t > edge * edge * edge ? std::cbrt(t) : t / (3 * edge * edge) + 4.0 / 29;
}

double f_inverse(double u) {
  return u > edge ? u * u * u : 3 * edge * edge * (u - 4.0 / 29);
}

}  // namespace

Lab xyz_to_lab(const Xyz& xyz, const Xyz& white) {
  const double fx = f(xyz.X / white.X), fy = f(xyz.Y / white.Y), fz = f(xyz.Z / white.Z);
  return {116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)};
}

Xyz lab_to_xyz(const Lab& lab, const Xyz& white) {
  const double fy = (lab.L + 16) / 116;
  return {white.X * f_inverse(fy + lab.a / 500), white.Y * f_inverse(fy),
          white.Z * f_inverse(fy - lab.b / 200)};
}

Lch lab_to_lch(const Lab& lab) {
  const double C = std::hypot(lab.a, lab.b);
  if (C == 0) return {lab.L, 0, 0};
  const double h = std::atan2(lab.b, lab.a) * 180 / std::numbers::pi;
  return {lab.L, C, h < 0 ? h + 360 : h};
}

Lab lch_to_lab(const Lch& lch) {
  const double h = lch.h * std::numbers::pi / 180;
  return {lch.L, lch.C * std::cos(h), lch.C * std::sin(h)};
}

}  // namespace mendtone
