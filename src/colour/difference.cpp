#include "mendtone/colour/difference.hpp"

#include <cmath>
#include <numbers>

#include "colour/ciede2000_terms.hpp"

namespace mendtone {
namespace {

constexpr double degree = std::numbers::pi / 180;

double hue_degrees(double a, double b) {
  if (a == 0 && b == 0) return 0;
  const double h = std::atan2(b, a) / degree;
  return h < 0 ? h + 360 : h;
}

double pow7(double x) {
  const double x3 = x * x * x;
  return x3 * x3 * x;
}

}  // namespace

// Equation numbers of Sharma, Wu & Dalal 2005.
detail::De00Terms detail::de00_terms(const Lab& one, const Lab& two) {
  const double C1 = std::hypot(one.a, one.b);  // (2)
  const double C2 = std::hypot(two.a, two.b);
  const double Cbar7 = pow7((C1 + C2) / 2);                                // (3)
  const double G = 0.5 * (1 - std::sqrt(Cbar7 / (Cbar7 + 6103515625.0)));  // (4) 25^7
  const double a1 = (1 + G) * one.a, a2 = (1 + G) * two.a;                 // (5)
  const double Cp1 = std::hypot(a1, one.b), Cp2 = std::hypot(a2, two.b);   // (6)
  const double h1 = hue_degrees(a1, one.b), h2 = hue_degrees(a2, two.b);   // (7)

  const bool grey = Cp1 * Cp2 == 0;
  const double dL = two.L - one.L;  // (8)
  const double dC = Cp2 - Cp1;      // (9)
  double dh = grey ? 0 : h2 - h1;   // (10)
  const bool near_side = std::abs(dh) <= 180 + 1e-9;
  if (!near_side) dh += dh > 0 ? -360 : 360;
  const double dH = 2 * std::sqrt(Cp1 * Cp2) * std::sin(dh / 2 * degree);  // (11)

  const double Lbar = (one.L + two.L) / 2;  // (12)
  const double Cbar = (Cp1 + Cp2) / 2;      // (13)
  double hbar = h1 + h2;                    // (14)
  if (!grey) {
    if (!near_side) hbar += hbar < 360 ? 360 : -360;
    hbar /= 2;
  }
  const double T = 1 - 0.17 * std::cos((hbar - 30) * degree) + 0.24 * std::cos(2 * hbar * degree) +
                   0.32 * std::cos((3 * hbar + 6) * degree) -
                   0.20 * std::cos((4 * hbar - 63) * degree);  // (15)
  const double u = (hbar - 275) / 25;
  const double dtheta = 30 * std::exp(-u * u);  // (16)
  const double Cp7 = pow7(Cbar);
  const double RC = 2 * std::sqrt(Cp7 / (Cp7 + 6103515625.0));  // (17)
  const double l2 = (Lbar - 50) * (Lbar - 50);
  const double SL = 1 + 0.015 * l2 / std::sqrt(20 + l2);  // (18)
  const double SC = 1 + 0.045 * Cbar;                     // (19)
  const double SH = 1 + 0.015 * Cbar * T;                 // (20)
  const double RT = -std::sin(2 * dtheta * degree) * RC;  // (21)

  return {dL, dC, dH, SL, SC, SH, RT, G, hbar};
}

De00 ciede2000(const Lab& one, const Lab& two, const De00Factors& k) {
  const detail::De00Terms t = detail::de00_terms(one, two);
  De00 result;
  result.lightness = t.dL / (k.kL * t.SL);
  result.chroma = t.dC / (k.kC * t.SC);
  result.hue = t.dH / (k.kH * t.SH);
  const double square = result.lightness * result.lightness + result.chroma * result.chroma +
                        result.hue * result.hue + t.RT * result.chroma * result.hue;  // (22)
  result.value = std::sqrt(std::fmax(square, 0));  // rounding may leave -1e-17 for equal colours
  return result;
}

double de00(const Lab& reference, const Lab& sample, const De00Factors& factors) {
  return ciede2000(reference, sample, factors).value;
}

double de_ab(const Lab& one, const Lab& two) {
  return std::hypot(two.L - one.L, two.a - one.a, two.b - one.b);
}

double de94(const Lab& reference, const Lab& sample) {
  const SignedDifference d = signed_difference(reference, sample);
  const double C1 = std::hypot(reference.a, reference.b);
  const double dH2 = d.da * d.da + d.db * d.db - d.dC * d.dC;
  const double SC = 1 + 0.045 * C1, SH = 1 + 0.015 * C1;
  return std::sqrt(d.dL * d.dL + d.dC * d.dC / (SC * SC) + std::fmax(dH2, 0) / (SH * SH));
}

SignedDifference signed_difference(const Lab& one, const Lab& two) {
  SignedDifference d{two.L - one.L, two.a - one.a, two.b - one.b, 0, 0};
  const double C1 = std::hypot(one.a, one.b), C2 = std::hypot(two.a, two.b);
  d.dC = C2 - C1;
  // 2 sqrt(C1 C2) sin(dh/2), with the sign of the turn from reference to sample.
  const double turn = std::atan2(one.a * two.b - one.b * two.a, one.a * two.a + one.b * two.b);
  d.dH = 2 * std::sqrt(C1 * C2) * std::sin(turn / 2);
  return d;
}

}  // namespace mendtone
