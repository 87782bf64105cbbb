#pragma once
#include <cmath>

// The formulas of a recipe's objective, branch-free and written once for both number types: float
// in the search over many recipes at a time, double where one recipe is finished and judged.

#define MENDTONE_INLINE [[gnu::always_inline]] inline

namespace mendtone::detail {

// Own elementary functions, since a compiler can run these on many lanes at once and they give the
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

/// A value and its slopes along a* and b*.
template <class Real>
struct Along {
  Real v = 0, a = 0, b = 0;
};

template <class Real>
MENDTONE_INLINE Along<Real> operator+(Along<Real> x, Along<Real> y) {
  return {x.v + y.v, x.a + y.a, x.b + y.b};
}
template <class Real>
MENDTONE_INLINE Along<Real> operator-(Along<Real> x, Along<Real> y) {
  return {x.v - y.v, x.a - y.a, x.b - y.b};
}
template <class Real>
MENDTONE_INLINE Along<Real> operator*(Along<Real> x, Along<Real> y) {
  return {x.v * y.v, fused(x.a, y.v, x.v * y.a), fused(x.b, y.v, x.v * y.b)};
}
template <class Real>
MENDTONE_INLINE Along<Real> scaled(Along<Real> x, Real by) {
  return {x.v * by, x.a * by, x.b * by};
}
template <class Real>
MENDTONE_INLINE Along<Real> plus(Along<Real> x, Real c) {
  return {x.v + c, x.a, x.b};
}
template <class Real>
MENDTONE_INLINE Along<Real> inverse(Along<Real> x) {
  const Real one = inverse_of(x.v), slope = -one * one;
  return {one, slope * x.a, slope * x.b};
}
/// A root and its inverse, for one division.
template <class Real>
struct Rooted {
  Along<Real> root, inverse;
};
template <class Real>
MENDTONE_INLINE Rooted<Real> rooted(Along<Real> x) {
  const Roots<Real> r = roots_of(x.v);
  const Real half = Real(0.5) * r.inverse, slope = -half * r.inverse * r.inverse;
  return {{r.root, x.a * half, x.b * half}, {r.inverse, x.a * slope, x.b * slope}};
}

/// The standard's side of CIEDE2000, which stays the same through a search.
template <class Real>
struct Standard {
  Real L = 0, a = 0, b = 0, C = 0;
};

/// The square of CIEDE2000, its slope along L*, a*, b*, and half its curvature (Gauss-Newton).
template <class Real>
struct SquaredDifference {
  Real value = 0;
  Real slope[3] = {0, 0, 0};
  Real half_curvature_L = 0;
  Real half_curvature[3] = {0, 0, 0};  ///< aa, ab, bb
};

/// Equation numbers of Sharma, Wu & Dalal 2005; cosines of the mean hue come from the bisector of
/// the two hues, which needs no angle. A hue difference of exactly 180 degrees is left to the
/// public `ciede2000`, which judges every recipe that is shown. Ref: sharma2005
template <class Real>
MENDTONE_INLINE SquaredDifference<Real> squared_de00(const Standard<Real>& s, Real L, Real a,
                                                     Real b) {
  using D = Along<Real>;
  const Real tiny = Real(1e-9);
  const D da{a, 1, 0}, db{b, 0, 1};
  const D C2 = rooted(D{a * a + b * b + tiny, 2 * a, 2 * b}).root;  // (2)
  const D Cm = scaled(plus(C2, s.C), Real(0.5));                    // (3)
  const Real c2 = Cm.v * Cm.v, c4 = c2 * c2, c6 = c4 * c2, c7 = c6 * Cm.v;
  const Real p25 = Real(6103515625.0);
  const Real share_part = inverse_of((c7 + p25) * (Cm.v + tiny));
  const Real share = root(c7 * (Cm.v + tiny) * share_part);
  // d share = share * 7/2 * 25^7 / (c7 + 25^7) / Cm
  const Real share_slope = share * Real(3.5) * p25 * share_part;
  const D G1{1 + Real(0.5) * (1 - share), Real(-0.5) * share_slope * Cm.a,
             Real(-0.5) * share_slope * Cm.b};  // 1 + G, (4)
  const D a1 = scaled(G1, s.a), a2 = G1 * da;   // (5)
  const Real b1 = s.b;
  const Rooted<Real> root1 = rooted(plus(a1 * a1, b1 * b1 + tiny));  // (6)
  const Rooted<Real> root2 = rooted(plus(a2 * a2 + db * db, tiny));
  const D Cp1 = root1.root, Cp2 = root2.root;
  const D dC = Cp2 - Cp1;  // (9)

  // Unit vectors of the two hues; their sum points to the mean hue.
  const D x1 = a1 * root1.inverse, y1 = scaled(root1.inverse, b1);
  const D x2 = a2 * root2.inverse, y2 = db * root2.inverse;
  const D sx = x1 + x2, sy = y1 + y2;
  const D part = rooted(plus(sx * sx + sy * sy, tiny)).inverse;
  const D cosh = sx * part, sinh = sy * part;
  // 2 sqrt(C1 C2) sin(dh/2), written so that nothing cancels. (11)
  const D cross = x1 * y2 - y1 * x2;
  const D dH = scaled(rooted(Cp1 * Cp2).root * cross * part, Real(2));

  const D Cbar = scaled(Cp1 + Cp2, Real(0.5));  // (13)
  const D cos2 = plus(scaled(cosh * cosh, Real(2)), Real(-1));
  const D sin2 = scaled(sinh * cosh, Real(2));
  const D cos3 = cos2 * cosh - sin2 * sinh, sin3 = sin2 * cosh + cos2 * sinh;
  const D cos4 = plus(scaled(cos2 * cos2, Real(2)), Real(-1)), sin4 = scaled(sin2 * cos2, Real(2));
  // cos(h - 30), cos(3h + 6), cos(4h - 63) opened up. (15)
  const D T =
      plus(scaled(cosh, Real(-0.17 * 0.8660254037844387)) + scaled(sinh, Real(-0.17 * 0.5)) +
               scaled(cos2, Real(0.24)) + scaled(cos3, Real(0.32 * 0.9945218953682733)) +
               scaled(sin3, Real(-0.32 * 0.10452846326765347)) +
               scaled(cos4, Real(-0.20 * 0.4539904997395468)) +
               scaled(sin4, Real(-0.20 * 0.8910065241883679)),
           Real(1));
  const Real h = hue_of(cosh.v, sinh.v);
  const Real u = (h - 275) / 25;
  const Real dtheta = Real(1.0471975511965976) * exp_of(-u * u);  // 2 dtheta, radians (16)
  // dh along a, b: cos h d(sin h) - sin h d(cos h), in degrees.
  const Real turn = dtheta * (-2 * u / 25) * Real(57.29577951308232);
  const D angle{dtheta, turn * (cosh.v * sinh.a - sinh.v * cosh.a),
                turn * (cosh.v * sinh.b - sinh.v * cosh.b)};
  // sin of at most 60 degrees by its series.
  const Real w = angle.v, w2 = w * w;
  const Real sine = w * series(-w2, Real(1), 1 / 6.0, 1 / 120.0, 1 / 5040.0, 1 / 362880.0,
                               1 / 39916800.0, 1 / 6227020800.0);
  const Real cosine = series(-w2, Real(1), 1 / 2.0, 1 / 24.0, 1 / 720.0, 1 / 40320.0, 1 / 3628800.0,
                             1 / 479001600.0);
  const Real d2 = Cbar.v * Cbar.v, d4 = d2 * d2, d6 = d4 * d2, d7 = d6 * Cbar.v;
  const Real rshare_part = inverse_of((d7 + p25) * (Cbar.v + tiny));
  const Real rshare = root(d7 * (Cbar.v + tiny) * rshare_part);
  const Real rslope = rshare * Real(3.5) * p25 * rshare_part;
  const D RC{2 * rshare, 2 * rslope * Cbar.a, 2 * rslope * Cbar.b};  // (17)
  const D RT = D{-sine, -cosine * angle.a, -cosine * angle.b} * RC;  // (21)
  const D SC = plus(scaled(Cbar, Real(0.045)), Real(1));             // (19)
  const D SH = plus(scaled(Cbar * T, Real(0.015)), Real(1));         // (20)
  const D rC = dC * inverse(SC), rH = dH * inverse(SH);
  const D square = rC * rC + rH * rH + RT * rC * rH;  // (22)

  const Real m = (s.L + L) / 2 - 50, l2 = m * m;
  const Real rl = roots_of(20 + l2).inverse;
  const Real SL = fused(Real(0.015) * l2, rl, Real(1));  // (18)
  const Real SL_slope = Real(0.0075) * m * (40 + l2) * (rl * rl * rl);
  const Real SL_part = inverse_of(SL);
  const Real rL = (L - s.L) * SL_part;
  const Real rL_slope = (1 - rL * SL_slope) * SL_part;

  SquaredDifference<Real> out;
  out.value = rL * rL + square.v;
  out.slope[0] = 2 * rL * rL_slope;
  out.slope[1] = square.a;
  out.slope[2] = square.b;
  out.half_curvature_L = rL_slope * rL_slope;
  out.half_curvature[0] = rC.a * rC.a + rH.a * rH.a + RT.v * rC.a * rH.a;
  out.half_curvature[1] =
      rC.a * rC.b + rH.a * rH.b + Real(0.5) * RT.v * (rC.a * rH.b + rC.b * rH.a);
  out.half_curvature[2] = rC.b * rC.b + rH.b * rH.b + RT.v * rC.b * rH.b;
  return out;
}

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

/// CIELAB's f and its slope, with the linear branch.
template <class Real>
struct LabRoot {
  Real value, slope;
};
/// x^(1/3) and its slope; x > 0, normal.
MENDTONE_INLINE LabRoot<double> cube_root(double x) {
  const double f = std::cbrt(x);
  return {f, 1 / (3 * f * f)};
}
MENDTONE_INLINE LabRoot<float> cube_root(float x) {
  // The inverse of the root from a third of the exponent, twice refined.
  const auto bits = static_cast<float>(__builtin_bit_cast(int, x));
  float y = __builtin_bit_cast(float, static_cast<int>(fused(bits, -1 / 3.0f, 1419893632.0f)));
  float e = fused(-(x * y), y * y, 1);
  y = fused(y * e, fused(e, 2 / 9.0f, 1 / 3.0f), y);
  e = fused(-(x * y), y * y, 1);
  y = fused(y * e, fused(e, 2 / 9.0f, 1 / 3.0f), y);
  return {x * (y * y), y * y * (1 / 3.0f)};
}
template <class Real>
MENDTONE_INLINE LabRoot<Real> lab_root(Real t) {
  // The line touches the cube root at the edge, so what lies below follows from its tangent.
  const Real edge = Real(216.0 / 24389.0);
  const Real over = t > edge ? t : edge;
  const LabRoot<Real> f = cube_root(over);
  return {f.value + Real(841.0 / 108.0) * (t - over), f.slope};
}

}  // namespace mendtone::detail
