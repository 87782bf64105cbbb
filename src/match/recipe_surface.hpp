#pragma once
#include "match/recipe_layer.hpp"

// One band of a fill at its place as a polynomial, for layers that no closed form gives.

namespace mendtone::detail {

/// What a band's fill shows and lets through, over all K and S that recipes may reach, as
/// polynomials in x and y, which run from -1 to 1 as K / (K + bend) and S / (S + 1) do: fitted at
/// Chebyshev's places, kept as sums of powers. Single precision errs by 1e-4 at most for tissue of
/// one ply, which is enough to find a recipe by; double by 1e-5.
template <class Real>
struct BandSurface {
  static constexpr int along_x = sizeof(Real) == 4 ? 10 : 16, along_y = sizeof(Real) == 4 ? 6 : 9;
  static constexpr double bend = 0.6;
  /// x = x0 - x1 / (K + bend), y = y0 - y1 / (S + 1).
  Real x0 = 0, x1 = 0, y0 = 0, y1 = 0;
  Real R[along_y][along_x] = {}, T[along_y][along_x] = {};
};

/// A polynomial of a surface with its slopes along x and y.
template <class Real>
struct OnSurface {
  Real value = 0, by_x = 0, by_y = 0;
};
template <class Real>
MENDTONE_INLINE OnSurface<Real> on_surface(
    const Real (&c)[BandSurface<Real>::along_y][BandSurface<Real>::along_x], Real x, Real y) {
  constexpr int X = BandSurface<Real>::along_x, Y = BandSurface<Real>::along_y;
  OnSurface<Real> at;
#pragma GCC unroll 16
  for (int j = Y - 1; j >= 0; --j) {
    Real p = c[j][X - 1], by_x = 0;
#pragma GCC unroll 16
    for (int i = X - 2; i >= 0; --i) {
      by_x = fused(by_x, x, p);
      p = fused(p, x, c[j][i]);
    }
    at.by_y = fused(at.by_y, y, at.value);
    at.value = fused(at.value, y, p);
    at.by_x = fused(at.by_x, y, by_x);
  }
  return at;
}

template <class Real, bool with_T>
MENDTONE_INLINE BandOut<Real> band(Real K, Real S, const BandSurface<Real>& at) {
  const Real per_K = inverse_of(K + Real(BandSurface<Real>::bend)), per_S = inverse_of(S + 1);
  const Real x = fused(-at.x1, per_K, at.x0), y = fused(-at.y1, per_S, at.y0);
  const Real x_K = at.x1 * per_K * per_K, y_S = at.y1 * per_S * per_S;
  BandOut<Real> out;
  const OnSurface<Real> R = on_surface<Real>(at.R, x, y);
  out.R = R.value;
  out.R_K = R.by_x * x_K;
  out.R_S = R.by_y * y_S;
  if constexpr (with_T) {
    const OnSurface<Real> T = on_surface<Real>(at.T, x, y);
    out.T = T.value;
    out.T_K = T.by_x * x_K;
    out.T_S = T.by_y * y_S;
  }
  return out;
}

}  // namespace mendtone::detail
