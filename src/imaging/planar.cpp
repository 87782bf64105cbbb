#include "mendtone/imaging/planar.hpp"

#include <bit>
#include <cstdint>

#include "base/clones.hpp"

namespace mendtone {
namespace {

constexpr float edge = 6.0f / 29;
constexpr float edge3 = edge * edge * edge;
constexpr float slope = 1 / (3 * edge * edge);

/// Cube root for t > 0: a guess from the exponent, within 4 %, then two steps of Halley's method,
/// each of which cubes the error.
MENDTONE_INLINE float cube_root(float t) {
  float y = std::bit_cast<float>(std::bit_cast<std::uint32_t>(t) / 3 + 709921077u);
  for (int step = 0; step < 2; ++step) {
    const float y3 = y * y * y;
    y = y * ((y3 + 2 * t) / (2 * y3 + t));
  }
  return y;
}

MENDTONE_INLINE float f(float t) {
  const float curved = cube_root(t > edge3 ? t : edge3);
  const float straight = slope * t + 4.0f / 29;
  return t > edge3 ? curved : straight;
}

MENDTONE_INLINE float f_inverse(float u) {
  const float curved = u * u * u, straight = (u - 4.0f / 29) / slope;
  return u > edge ? curved : straight;
}

}  // namespace

MENDTONE_CLONES
void relative_xyz_to_lab(float* X, float* Y, float* Z, std::size_t count) {
  for (std::size_t i = 0; i < count; ++i) {
    const float fx = f(X[i]), fy = f(Y[i]), fz = f(Z[i]);
    X[i] = 116 * fy - 16;
    Y[i] = 500 * (fx - fy);
    Z[i] = 200 * (fy - fz);
  }
}

MENDTONE_CLONES
void lab_to_relative_xyz(float* L, float* a, float* b, std::size_t count) {
  for (std::size_t i = 0; i < count; ++i) {
    const float fy = (L[i] + 16) / 116, fx = fy + a[i] / 500, fz = fy - b[i] / 200;
    L[i] = f_inverse(fx);
    a[i] = f_inverse(fy);
    b[i] = f_inverse(fz);
  }
}

}  // namespace mendtone
