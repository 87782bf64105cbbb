#include "mendtone/colour/de00_planar.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <type_traits>

#include "base/clones.hpp"
#include "mendtone/colour/difference.hpp"

namespace mendtone {
namespace {

/// Horner's scheme, the constant first; recursion, since a loop here would stop the outer one from
/// being done several pairs at a time.
template <std::size_t from = 0, class N, std::size_t count>
MENDTONE_INLINE N polynomial(const N (&c)[count], N x) {
  if constexpr (from + 1 == count)
    return c[from];
  else
    return polynomial<from + 1>(c, x) * x + c[from];
}

// By value: references stop the vectoriser.
template <class N>
MENDTONE_INLINE N larger(N a, N b) {
  return a > b ? a : b;
}
template <class N>
MENDTONE_INLINE N smaller(N a, N b) {
  return a < b ? a : b;
}

// Polynomials by the precision that each type needs. Own fits and Taylor series.
template <class N>
struct Fit;

template <>
struct Fit<float> {
  /// acos(1 - t)^2 / t over 32 (25 degrees)^2, for 0 <= t <= 1.31; fitted at Chebyshev nodes.
  static constexpr float angle[] = {
      0.32828068787060422f,   0.054706925030432049f,   0.014720393993721f,
      0.0037055368425084646f, 0.0053172856556622048f,  -0.0067488964628845865f,
      0.0086135867921896085f, -0.0049545683451381085f, 0.0013591417949541304f};
  /// exp(-x), 0 <= x <= 0.6.
  static constexpr float decay[] = {1, -1, 1 / 2.f, -1 / 6.f, 1 / 24.f, -1 / 120.f, 1 / 720.f};
  /// sin(x) / x in x^2, |x| <= pi / 3.
  static constexpr float sine[] = {1, -1 / 6.f, 1 / 120.f, -1 / 5040.f, 1 / 362880.f};
};

template <>
struct Fit<double> {
  static constexpr double angle[] = {
      0.32828063500107285,    0.054713439217031479,    0.014590246341078953,
      0.0046898558308474825,  0.0016652113680672798,   0.00065467065934913897,
      9.3966205331301334e-05, 0.00083416422624238136,  -0.0024300979193547915,
      0.0061610458880809018,  -0.011361702487038373,   0.015754089707451912,
      -0.016267195605864218,  0.012355169988951958,    -0.0067034847555826858,
      0.0024639949440140242,  -0.00055092529430154555, 5.6916684457739403e-05};
  static constexpr double decay[] = {1,          -1,           1 / 2.,      -1 / 6.,
                                     1 / 24.,    -1 / 120.,    1 / 720.,    -1 / 5040.,
                                     1 / 40320., -1 / 362880., 1 / 3628800.};
  static constexpr double sine[] = {
      1,           -1 / 6.,        1 / 120.,        -1 / 5040.,
      1 / 362880., -1 / 39916800., 1 / 6227020800., -1 / 1307674368000.};
};

template <class N>
MENDTONE_INLINE N root(N x) {
  return std::sqrt(x);
}

template <class N>
MENDTONE_INLINE N pow7(N x) {
  const N x3 = x * x * x;
  return x3 * x3 * x;
}

/// sin(2 dtheta) of equation (16), from the mean hue's unit vector, without an angle: with phi the
/// hue from 275 degrees, t = 1 - cos phi.
template <class N>
MENDTONE_INLINE N rotation_sine(N c, N s) {
  constexpr N cos275 = N(0.087155742747658173558), sin275 = N(-0.99619469809174553230);
  constexpr N cos85 = cos275;
  const N x = c * cos275 + s * sin275, y = s * cos275 - c * sin275;
  const N t = smaller(larger(1 - x, N(0)), N(1.31));  // beyond 108 degrees nothing is left
  N e = polynomial(Fit<N>::decay, t * polynomial(Fit<N>::angle, t));
  e *= e, e *= e, e *= e, e *= e, e *= e;  // the 32nd power
  e = (y > 0 && x < cos85) ? N(0) : e;     // hues of 0-95 degrees lie 180-275 below 275
  constexpr N third = N(1.0471975511965977462);
  const N angle = third * e;
  return angle * polynomial(Fit<N>::sine, angle * angle);
}

/// T of equation (15) from cosine and sine of the mean hue.
template <class N>
MENDTONE_INLINE N hue_weight(N c, N s) {
  const N c2 = 2 * c * c - 1, s2 = 2 * s * c;
  const N c3 = c * (2 * c2 - 1), s3 = s * (2 * c2 + 1);
  const N c4 = 2 * c2 * c2 - 1, s4 = 2 * s2 * c2;
  return 1 - N(0.17) * (c * N(0.86602540378443864676) + s * N(0.5)) + N(0.24) * c2 +
         N(0.32) * (c3 * N(0.99452189536827333692) - s3 * N(0.10452846326765347140)) -
         N(0.20) * (c4 * N(0.45399049973954679156) + s4 * N(0.89100652418836786236));
}

/// What an error of the mean hue costs grows with chroma and as 1 / |e1 + e2|; from here on the
/// scalar path is needed. Found by trial; the test holds it on 300,000 pairs and hard cases.
template <class N>
constexpr N doubt_per_chroma2 = std::is_same_v<N, float> ? N(5e-7) : N(1e-12);

template <class N>
struct Pair {
  N de00;
  N trust;  ///< below 0 where the hues are too nearly opposite for this way
};

/// One pair. Numbers are Sharma, Wu & Dalal's equations.
template <class N>
MENDTONE_INLINE Pair<N> difference(N L1, N a1, N b1, N L2, N a2, N b2) {
  constexpr N tiny = N(1e-18), p25_7 = N(6103515625.0);
  const N C7 = pow7((root(a1 * a1 + b1 * b1) + root(a2 * a2 + b2 * b2)) / 2);  // (2) (3)
  const N stretch = N(1.5) - N(0.5) * root(C7 / (C7 + p25_7));                 // 1 + G, (4)
  const N x1 = stretch * a1, x2 = stretch * a2;                                // (5)
  const N q1 = x1 * x1 + b1 * b1, q2 = x2 * x2 + b2 * b2;
  const N C1 = root(q1), C2 = root(q2);  // (6)
  const N u1 = 1 / root(larger(q1, tiny)), u2 = 1 / root(larger(q2, tiny));
  const N cx1 = x1 * u1, sx1 = b1 * u1, cx2 = x2 * u2, sx2 = b2 * u2;  // (7), as unit vectors
  const N mx = cx1 + cx2, my = sx1 + sx2;
  const N opposed = mx * mx + my * my;
  const N um = 1 / root(larger(opposed, tiny));
  const N c = mx * um, s = my * um;  // (14), as a unit vector

  const N dL = L2 - L1;  // (8)
  const N sum = C1 + C2;
  const N dC = ((x2 - x1) * (x2 + x1) + (b2 - b1) * (b2 + b1)) / larger(sum, tiny);  // (9)
  const N turn = cx1 * sx2 - sx1 * cx2;  // sine of the hue difference; that of its half:
  const N blunt = std::copysign(root(larger(1 - opposed / 4, N(0))), turn);
  const N half = opposed < 1 ? blunt : turn * um;
  const N dH = 2 * root(C1 * C2) * half;                              // (10) (11)
  const N Lbar = (L1 + L2) / 2 - 50, l2 = Lbar * Lbar;                // (12)
  const N Cbar = sum / 2, Cp7 = pow7(Cbar);                           // (13)
  const N SL = 1 + N(0.015) * l2 / root(20 + l2);                     // (18)
  const N SC = 1 + N(0.045) * Cbar;                                   // (19)
  const N SH = 1 + N(0.015) * Cbar * hue_weight(c, s);                // (20)
  const N RT = -2 * root(Cp7 / (Cp7 + p25_7)) * rotation_sine(c, s);  // (17) (21)
  const N l = dL / SL, k = dC / SC, h = dH / SH;
  return {root(larger(l * l + k * k + h * h + RT * k * h, N(0))),
          opposed - doubt_per_chroma2<N> * larger(C1 * C2, N(1))};  // (22)
}

constexpr std::size_t block = 1024;

MENDTONE_CLONES
void compute(const float* __restrict L1, const float* __restrict a1, const float* __restrict b1,
             const float* __restrict L2, const float* __restrict a2, const float* __restrict b2,
             float* __restrict out, float* __restrict trust, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    const Pair<float> pair = difference(L1[i], a1[i], b1[i], L2[i], a2[i], b2[i]);
    out[i] = pair.de00;
    trust[i] = pair.trust;
  }
}

MENDTONE_CLONES
void compute(const double* __restrict L1, const double* __restrict a1, const double* __restrict b1,
             const double* __restrict L2, const double* __restrict a2, const double* __restrict b2,
             double* __restrict out, double* __restrict trust, std::size_t n) {
  for (std::size_t i = 0; i < n; ++i) {
    const Pair<double> pair = difference(L1[i], a1[i], b1[i], L2[i], a2[i], b2[i]);
    out[i] = pair.de00;
    trust[i] = pair.trust;
  }
}

template <class N>
void in_blocks(const LabPlanes<N>& one, const LabPlanes<N>& two, std::span<N> out) {
  for ([[maybe_unused]] const auto* planes : {&one, &two})
    assert(planes->L.size() == out.size() && planes->a.size() == out.size() &&
           planes->b.size() == out.size());
  N trust[block];
  for (std::size_t from = 0; from < out.size(); from += block) {
    const std::size_t n = std::min(block, out.size() - from);
    compute(&one.L[from], &one.a[from], &one.b[from], &two.L[from], &two.a[from], &two.b[from],
            &out[from], trust, n);
    for (std::size_t i = from; i < from + n; ++i)
      if (trust[i - from] < 0)
        out[i] =
            static_cast<N>(de00({one.L[i], one.a[i], one.b[i]}, {two.L[i], two.a[i], two.b[i]}));
  }
}

}  // namespace

void de00_planar(const LabPlanes<float>& one, const LabPlanes<float>& two, std::span<float> out) {
  in_blocks(one, two, out);
}

void de00_planar(const LabPlanes<double>& one, const LabPlanes<double>& two,
                 std::span<double> out) {
  in_blocks(one, two, out);
}

}  // namespace mendtone
