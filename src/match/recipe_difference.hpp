#pragma once
#include "match/recipe_numbers.hpp"

// CIELAB and the square of CIEDE2000 with their slopes, as the recipe search needs them.

namespace mendtone::detail {

/// CIELAB's f and its slope, with the linear branch.
template <class Real>
MENDTONE_INLINE Sloped<Real> lab_root(Real t) {
  // The line touches the cube root at the edge, so what lies below follows from its tangent.
  const Real edge = Real(216.0 / 24389.0);
  const Real over = t > edge ? t : edge;
  const Sloped<Real> f = cube_root(over);
  return {f.value + Real(841.0 / 108.0) * (t - over), f.slope};
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

// CIEDE2000 between a standard and a sample, with slopes along the sample's a* and b*; equation
// numbers of Sharma, Wu & Dalal 2005. Ref: sharma2005

/// Under the roots, so that a slope exists at grey; it moves the square by about 1e-7.
template <class Real>
constexpr Real tiny = Real(1e-9);
template <class Real>
constexpr Real degrees_a_radian = Real(57.29577951308232);

/// sqrt(C^7 / (C^7 + 25^7)); its slope is 7/2 of it times 25^7 / (C^7 + 25^7) / C.
template <class Real>
MENDTONE_INLINE Along<Real> saturated(Along<Real> C) {
  const Real p25 = Real(6103515625.0);  // 25^7
  const Real c2 = C.v * C.v, c4 = c2 * c2, c6 = c4 * c2, c7 = c6 * C.v;
  const Real part = inverse_of((c7 + p25) * (C.v + tiny<Real>));
  const Real share = root(c7 * (C.v + tiny<Real>)*part);
  const Real slope = share * Real(3.5) * p25 * part;
  return {share, slope * C.a, slope * C.b};
}

/// C' of one colour and its hue as a unit vector.
template <class Real>
struct Polar {
  Along<Real> C, x, y;
};
template <class Real>
struct Polars {
  Polar<Real> standard, sample;
};
template <class Real>
MENDTONE_INLINE Polars<Real> polars_of(const Standard<Real>& s, Real a, Real b) {
  using D = Along<Real>;
  const D da{a, 1, 0}, db{b, 0, 1};
  const D C2 = rooted(D{a * a + b * b + tiny<Real>, 2 * a, 2 * b}).root;  // (2)
  const D Cm = scaled(plus(C2, s.C), Real(0.5));                          // (3)
  const D share = saturated(Cm);
  const D G1{1 + Real(0.5) * (1 - share.v), Real(-0.5) * share.a,
             Real(-0.5) * share.b};                                          // 1 + G, (4)
  const D a1 = scaled(G1, s.a), a2 = G1 * da;                                // (5)
  const Rooted<Real> root1 = rooted(plus(a1 * a1, s.b * s.b + tiny<Real>));  // (6)
  const Rooted<Real> root2 = rooted(plus(a2 * a2 + db * db, tiny<Real>));
  return {{root1.root, a1 * root1.inverse, scaled(root1.inverse, s.b)},
          {root2.root, a2 * root2.inverse, db * root2.inverse}};
}

/// The mean hue by its cosine and sine, from the bisector of both hues, which needs no angle; and
/// dH'. A hue difference of exactly 180 degrees has no bisector.
template <class Real>
struct Hues {
  Along<Real> cosine, sine, dH;
};
template <class Real>
MENDTONE_INLINE Hues<Real> hues_of(const Polar<Real>& one, const Polar<Real>& two) {
  using D = Along<Real>;
  const D x = one.x + two.x, y = one.y + two.y;
  const D part = rooted(plus(x * x + y * y, tiny<Real>)).inverse;
  // 2 sqrt(C1 C2) sin(dh/2), written so that nothing cancels. (11)
  const D cross = one.x * two.y - one.y * two.x;
  return {x * part, y * part, scaled(rooted(one.C * two.C).root * cross * part, Real(2))};
}

/// T: cos(h - 30), cos 2h, cos(3h + 6), cos(4h - 63) opened up. (15)
template <class Real>
MENDTONE_INLINE Along<Real> hue_weight(Along<Real> cos, Along<Real> sin) {
  using D = Along<Real>;
  const D cos2 = plus(scaled(cos * cos, Real(2)), Real(-1));
  const D sin2 = scaled(sin * cos, Real(2));
  const D cos3 = cos2 * cos - sin2 * sin, sin3 = sin2 * cos + cos2 * sin;
  const D cos4 = plus(scaled(cos2 * cos2, Real(2)), Real(-1)), sin4 = scaled(sin2 * cos2, Real(2));
  return plus(scaled(cos, Real(-0.17 * 0.8660254037844387)) + scaled(sin, Real(-0.17 * 0.5)) +
                  scaled(cos2, Real(0.24)) + scaled(cos3, Real(0.32 * 0.9945218953682733)) +
                  scaled(sin3, Real(-0.32 * 0.10452846326765347)) +
                  scaled(cos4, Real(-0.20 * 0.4539904997395468)) +
                  scaled(sin4, Real(-0.20 * 0.8910065241883679)),
              Real(1));
}

/// RT = -sin(2 dtheta) RC. (16), (17), (21)
template <class Real>
MENDTONE_INLINE Along<Real> rotation(Along<Real> cos, Along<Real> sin, Along<Real> Cbar) {
  using D = Along<Real>;
  const Real h = hue_of(cos.v, sin.v);
  const Real u = (h - 275) / 25;
  const Real angle = Real(1.0471975511965976) * exp_of(-u * u);  // 2 dtheta, radians
  // dh along a, b: cos h d(sin h) - sin h d(cos h), in degrees.
  const Real turn = angle * (-2 * u / 25) * degrees_a_radian<Real>;
  const Real by_a = turn * (cos.v * sin.a - sin.v * cos.a),
             by_b = turn * (cos.v * sin.b - sin.v * cos.b);
  // sin of at most 60 degrees by its series.
  const Real w2 = angle * angle;
  const Real sine = angle * series(-w2, Real(1), 1 / 6.0, 1 / 120.0, 1 / 5040.0, 1 / 362880.0,
                                   1 / 39916800.0, 1 / 6227020800.0);
  const Real cosine = series(-w2, Real(1), 1 / 2.0, 1 / 24.0, 1 / 720.0, 1 / 40320.0, 1 / 3628800.0,
                             1 / 479001600.0);
  return D{-sine, -cosine * by_a, -cosine * by_b} * scaled(saturated(Cbar), Real(2));
}

/// dL' / SL and its slope along L*. (18)
template <class Real>
MENDTONE_INLINE Sloped<Real> lightness_part(Real standard, Real L) {
  const Real m = (standard + L) / 2 - 50, m2 = m * m;
  const Real per = roots_of(20 + m2).inverse;
  const Real SL = fused(Real(0.015) * m2, per, Real(1));
  const Real SL_slope = Real(0.0075) * m * (40 + m2) * (per * per * per);
  const Real one = inverse_of(SL);
  const Real part = (L - standard) * one;
  return {part, (1 - part * SL_slope) * one};
}

/// The whole. A hue difference of exactly 180 degrees is left to the public `ciede2000`, which
/// judges every recipe that is shown.
template <class Real>
MENDTONE_INLINE SquaredDifference<Real> squared_de00(const Standard<Real>& s, Real L, Real a,
                                                     Real b) {
  using D = Along<Real>;
  const auto [one, two] = polars_of(s, a, b);
  const D dC = two.C - one.C;  // (9)
  const Hues<Real> hue = hues_of(one, two);
  const D Cbar = scaled(one.C + two.C, Real(0.5));  // (13)
  const D T = hue_weight(hue.cosine, hue.sine);
  const D RT = rotation(hue.cosine, hue.sine, Cbar);
  const D SC = plus(scaled(Cbar, Real(0.045)), Real(1));      // (19)
  const D SH = plus(scaled(Cbar * T, Real(0.015)), Real(1));  // (20)
  const D rC = dC * inverse(SC), rH = hue.dH * inverse(SH);
  const D square = rC * rC + rH * rH + RT * rC * rH;  // (22)
  const Sloped<Real> rL = lightness_part(s.L, L);

  SquaredDifference<Real> out;
  out.value = rL.value * rL.value + square.v;
  out.slope[0] = 2 * rL.value * rL.slope;
  out.slope[1] = square.a;
  out.slope[2] = square.b;
  out.half_curvature_L = rL.slope * rL.slope;
  out.half_curvature[0] = rC.a * rC.a + rH.a * rH.a + RT.v * rC.a * rH.a;
  out.half_curvature[1] =
      rC.a * rC.b + rH.a * rH.b + Real(0.5) * RT.v * (rC.a * rH.b + rC.b * rH.a);
  out.half_curvature[2] = rC.b * rC.b + rH.b * rH.b + RT.v * rC.b * rH.b;
  return out;
}

}  // namespace mendtone::detail
