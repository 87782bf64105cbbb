#pragma once
#include "match/recipe_numbers.hpp"

// One band of a fill at its place, with its slopes along the fill's K and S.

namespace mendtone::detail {

/// What one band does: reflectance seen, transmittance, and their slopes along the fill's whole K
/// and S.
template <class Real>
struct BandOut {
  Real R = 0, R_K = 0, R_S = 0;
  Real T = 0, T_K = 0, T_S = 0;
};

/// The place in one band. Everything above the fill, and a film's interface, is one Moebius map
/// R -> (p + q R) / (1 - r R); T -> t / (D - v S s).
template <class Real>
struct BandPlace {
  Real below, p, q, r, t, v;
};

/// Kubelka's layer over a backing with its slopes, in sinhc and cosh of x = sqrt(K (K + 2 S)) as
/// series in x^2 / 64, doubled three times: no root, no exponential, no case for K or S of 0.
/// A layer beyond x = 16 is thinned to it, which changes R by e^-32; `deep`: there may be one.
/// Ref: kubelka1948
template <class Real, bool with_T, bool deep>
MENDTONE_INLINE BandOut<Real> band(Real K, Real S, const BandPlace<Real>& at) {
  Real thin = 1;
  if constexpr (deep) {
    const Real whole = K * (K + 2 * S);
    thin = 16 * roots_of(whole > 256 ? whole : Real(256)).inverse;
    K *= thin;
    S *= thin;
  }
  const Real y = K * (K + 2 * S) / 64;
  // y <= 4: eight terms leave 2e-9, twelve 1e-17.
  constexpr int terms = sizeof(Real) == 4 ? 8 : 13;
  Real s = 0, ds = 0;
  {
    constexpr Real f[14] = {Real(1.0),
                            Real(1.0 / 6),
                            Real(1.0 / 120),
                            Real(1.0 / 5040),
                            Real(1.0 / 362880),
                            Real(1.0 / 39916800),
                            Real(1.0 / 6227020800.0),
                            Real(1.0 / 1307674368000.0),
                            Real(1.0 / 355687428096000.0),
                            Real(1.0 / 121645100408832000.0),
                            Real(1.0 / 51090942171709440000.0),
                            Real(1.0 / 25852016738884976640000.0),
                            Real(1.0 / 15511210043330985984000000.0),
                            Real(1.0 / 10888869450418352160768000000.0)};
#pragma GCC unroll 16
    for (int i = terms - 1; i >= 0; --i) s = fused(s, y, f[i]);
#pragma GCC unroll 16
    for (int i = terms - 1; i >= 1; --i) ds = fused(ds, y, Real(i) * f[i]);
  }
  Real c = fused(2 * y, ds, s);  // cosh
#pragma GCC unroll 3
  for (int i = 0; i < 3; ++i) {
    ds = Real(0.25) * fused(ds, c, Real(0.5) * s * s);
    s = s * c;
    c = fused(2 * c, c, Real(-1));
  }
  const Real zK = 2 * (K + S), zS = 2 * K;
  const Real M = (K + S) * s;
  const Real Ss = S * s;
  const Real s_K = ds * zK, s_S = ds * zS, c_K = Real(0.5) * s * zK, c_S = Real(0.5) * s * zS;
  const Real M_K = fused(K + S, s_K, s), M_S = fused(K + S, s_S, s);
  const Real Ss_K = S * s_K, Ss_S = fused(S, s_S, s);
  const Real N0 = fused(at.below, c - M, Ss), D0 = fused(-at.below, Ss, c + M);
  const Real N0_K = fused(at.below, c_K - M_K, Ss_K), D0_K = fused(-at.below, Ss_K, c_K + M_K);
  const Real N0_S = fused(at.below, c_S - M_S, Ss_S), D0_S = fused(-at.below, Ss_S, c_S + M_S);
  const Real N = fused(at.p, D0, at.q * N0), D = fused(-at.r, N0, D0);
  const Real one = inverse_of(D);
  BandOut<Real> out;
  out.R = N * one;
  // Slopes along D0 and N0.
  const Real by_D = fused(at.p, one, -out.R * one), by_N = fused(at.q, one, at.r * out.R * one);
  out.R_K = fused(by_D, D0_K, by_N * N0_K);
  out.R_S = fused(by_D, D0_S, by_N * N0_S);
  if constexpr (with_T) {
    const Real through = inverse_of(fused(-at.v, Ss, c + M));
    out.T = at.t * through;
    const Real by_through = -out.T * through;
    out.T_K = by_through * fused(-at.v, Ss_K, c_K + M_K);
    out.T_S = by_through * fused(-at.v, Ss_S, c_S + M_S);
  }
  if constexpr (deep) {
    out.R_K *= thin;
    out.R_S *= thin;
    out.T_K *= thin;
    out.T_S *= thin;
  }
  return out;
}

}  // namespace mendtone::detail
