#pragma once
#include <cmath>

// Elementary functions of the recipe search, branch-free and written once for both number types:
// float in the search over many recipes at a time, double where one recipe is finished and judged.

#define MENDTONE_INLINE [[gnu::always_inline]] inline

namespace mendtone::detail {

// Our own, since a compiler can run these on many lanes at once and they give the
// same bits on every processor. Relative error about 2e-7 for float; double uses the library.

/// x y + z. In float a fused product wherever it runs, so that every processor gives the same bits.
MENDTONE_INLINE double fused(double x, double y, double z) {
  return x * y + z;
}
MENDTONE_INLINE float fused(float x, float y, float z) {
  return __builtin_fmaf(x, y, z);
}

/// c0 + c1 x + c2 x^2 ...
template <class Real, class... C>
MENDTONE_INLINE Real series(Real x, Real c0, C... c) {
  if constexpr (sizeof...(c) == 0)
    return c0;
  else
    return fused(series(x, static_cast<Real>(c)...), x, c0);
}

// A processor divides and takes roots slowly, and its quick estimates differ from maker to maker:
// these begin with an estimate from the bits and refine it, a third-order step and one of Newton.

MENDTONE_INLINE double inverse_of(double x) {
  return 1 / x;
}
MENDTONE_INLINE float inverse_of(float x) {  // |x| 1e-37 to 1e37
  float y = __builtin_bit_cast(float, 0x7ef31000U - __builtin_bit_cast(unsigned, x));
  float e = fused(-x, y, 1);
  y = fused(y, fused(e, e, e), y);
  e = fused(-x, y, 1);
  return fused(y, e, y);
}

/// A root and its inverse.
template <class Real>
struct Roots {
  Real root, inverse;
};
MENDTONE_INLINE Roots<double> roots_of(double x) {
  const double r = std::sqrt(x);
  return {r, 1 / r};
}
MENDTONE_INLINE Roots<float> roots_of(float x) {  // x >= 0; the inverse of 0 is some large number
  float y = __builtin_bit_cast(float, 0x5f374000 - (__builtin_bit_cast(int, x) >> 1));
  float e = fused(-(x * y), y, 1);
  y = fused(y * e, fused(e, 0.375f, 0.5f), y);
  e = fused(-(x * y), y, 1);
  y = fused(0.5f * y, e, y);
  return {x * y, y};
}

MENDTONE_INLINE double root(double x) {
  return std::sqrt(x);
}
MENDTONE_INLINE float root(float x) {
  return roots_of(x).root;
}

MENDTONE_INLINE double exp_of(double x) {
  return std::exp(x);
}
MENDTONE_INLINE float exp_of(float x) {
  x = x < -87.0f ? -87.0f : x;
  x = x > 87.0f ? 87.0f : x;
  const float y = x * 1.44269504f;
  const int n = static_cast<int>(y + (y < 0 ? -0.5f : 0.5f));
  const float whole = static_cast<float>(n);
  const float r = fused(whole, -1.42860677e-6f, fused(whole, -0.693145752f, x));
  const float p = series(r, 1.0f, 1.0f, 1 / 2.0, 1 / 6.0, 1 / 24.0, 1 / 120.0, 1 / 720.0);
  return p * __builtin_bit_cast(float, (n + 127) << 23);
}

MENDTONE_INLINE double log_of(double x) {
  return std::log(x);
}
MENDTONE_INLINE float log_of(float x) {  // x > 0, normal
  const int bits = __builtin_bit_cast(int, x);
  const int shifted = bits - 0x3f3504f3;  // sqrt(1/2): the mantissa comes to lie around 1
  const int e = shifted >> 23;
  const float m = __builtin_bit_cast(float, bits - (e << 23));
  const float t = (m - 1) * inverse_of(m + 1), t2 = t * t;
  const float p = series(t2, 1.0f, 1 / 3.0, 1 / 5.0, 1 / 7.0, 1 / 9.0);
  return fused(static_cast<float>(e), 0.69314718f, 2 * t * p);
}

/// Hue angle of a unit vector in degrees, 0-360.
MENDTONE_INLINE double hue_of(double a, double b) {
  const double h = std::atan2(b, a) * 57.29577951308232;
  return h < 0 ? h + 360 : h;
}
MENDTONE_INLINE float hue_of(float a, float b) {
  const float x = a < 0 ? -a : a, y = b < 0 ? -b : b;
  const float small = x < y ? x : y, large = x < y ? y : x;
  // Half the angle first, where the odd series converges fast.
  const float t = small * inverse_of(large + 1), t2 = -t * t;
  const float p =
      series(t2, 1.0f, 1 / 3.0, 1 / 5.0, 1 / 7.0, 1 / 9.0, 1 / 11.0, 1 / 13.0, 1 / 15.0);
  float h = 57.29577951f * 2 * t * p;
  h = y > x ? 90 - h : h;
  h = a < 0 ? 180 - h : h;
  return b < 0 ? 360 - h : h;
}

/// A value and its slope.
template <class Real>
struct Sloped {
  Real value, slope;
};
/// x^(1/3) and its slope; x > 0, normal.
MENDTONE_INLINE Sloped<double> cube_root(double x) {
  const double f = std::cbrt(x);
  return {f, 1 / (3 * f * f)};
}
MENDTONE_INLINE Sloped<float> cube_root(float x) {
  // The inverse of the root from a third of the exponent, twice refined.
  const auto bits = static_cast<float>(__builtin_bit_cast(int, x));
  float y = __builtin_bit_cast(float, static_cast<int>(fused(bits, -1 / 3.0f, 1419893632.0f)));
  float e = fused(-(x * y), y * y, 1);
  y = fused(y * e, fused(e, 2 / 9.0f, 1 / 3.0f), y);
  e = fused(-(x * y), y * y, 1);
  y = fused(y * e, fused(e, 2 / 9.0f, 1 / 3.0f), y);
  return {x * (y * y), y * y * (1 / 3.0f)};
}
}  // namespace mendtone::detail
