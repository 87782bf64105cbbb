#include "mendtone/optics/layer.hpp"

#include <cassert>
#include <cmath>

namespace mendtone {
namespace {

/// sinh(x) / x and cosh(x) by one exponential; below 0.1 the former would lose digits, and its
/// series has them all.
struct Hyperbolic {
  double sinhc, cosh;
};
Hyperbolic hyperbolic(double x) {
  const double up = std::exp(x), down = 1 / up, y = x * x;
  const double series = 1 + y / 6 * (1 + y / 20 * (1 + y / 42));
  return {x < 0.1 ? series : (up - down) / (2 * x), (up + down) / 2};
}

/// d sinhc / d(x^2); below 0.3 the closed form loses digits, and the series has them all.
double sinhc_slope(double x, double cosh_x, double sinhc_x) {
  const double y = x * x;
  if (x < 0.3) return (1 + y / 10 * (1 + y / 28 * (1 + y / 54 * (1 + y / 88)))) / 6;
  return (cosh_x - sinhc_x) / (2 * y);
}

constexpr double opaque_depth = 300;  ///< beyond it cosh would overflow when squared

}  // namespace

// With x = b S X = sqrt(KX (KX + 2 SX)) the textbook forms
//   R0 = sinh x / (a sinh x + b cosh x),   T = b / (a sinh x + b cosh x),   a = 1 + K/S
// become, multiplied through by SX / x,
//   R0 = SX sinhc x / D,   T = 1 / D,   D = (KX + SX) sinhc x + cosh x,
// in which nothing is divided by K or S.
Slab layer(double KX, double SX) {
  assert(KX >= 0 && SX >= 0);
  const double x = std::sqrt(KX * (KX + 2 * SX));
  if (x > opaque_depth) {  // what comes through is below 1e-130
    const double R = SX / (KX + SX + x);
    return {R, R, 0};
  }
  const auto [s, c] = hyperbolic(x);
  const double D = (KX + SX) * s + c;
  const double R = SX * s / D;
  return {R, R, 1 / D};
}

// The derivatives of the same R and T, by way of y = x^2: dy/dK = 2 (K + S), dy/dS = 2 K,
// d sinhc/dy above, d cosh/dy = sinhc / 2.
LayerSlopes layer_slopes(double K, double S) {
  assert(K >= 0 && S >= 0);
  const double x = std::sqrt(K * (K + 2 * S));
  LayerSlopes at;
  if (x > opaque_depth) {
    const double sum = K + S + x;
    at.R = S / sum;
    at.T = 0;
    at.dR_dK = -at.R * (1 + (K + S) / x) / sum;
    at.dR_dS = (1 - at.R * (1 + K / x)) / sum;
    return at;
  }
  const auto [s, c] = hyperbolic(x);
  const double ds = sinhc_slope(x, c, s);
  const double D = (K + S) * s + c;
  const double dD_dK = s + (K + S) * (2 * (K + S) * ds + s);
  const double dD_dS = s + K * (2 * (K + S) * ds + s);
  at.R = S * s / D;
  at.T = 1 / D;
  at.dR_dK = S * (2 * (K + S) * ds) / D - at.R * dD_dK / D;
  at.dR_dS = (s + S * 2 * K * ds) / D - at.R * dD_dS / D;
  at.dT_dK = -at.T * dD_dK / D;
  at.dT_dS = -at.T * dD_dS / D;
  return at;
}

// With `down` the diffuse light between the two that goes down, what the eye sees of the one behind
// is `lit` of it straight through the front, and R12 of it through the front's scattering.
Slab in_front(const Slab& f, const Slab& g) {
  const double many = 1 / (1 - f.R21 * g.R12);
  const double eye = f.straight_out * g.lit + (f.out - f.straight_out) * g.R12;
  // The lamp's light: its beam, and what the front has scattered; echoes between the two.
  const double beam = f.straight_in, scattered = f.in - beam;
  const double up = beam * g.thrown + scattered * g.R12;
  const double echo = f.R21 * (up * many);
  Slab both(f.R12 + f.T * f.T * g.R12 * many, g.R21 + g.T * g.T * f.R21 * many, f.T * g.T * many);
  both.seen = f.seen + beam * (f.straight_out * g.seen + (f.out - f.straight_out) * g.thrown) +
              (scattered + echo) * eye;
  both.in = beam * g.in + (scattered + echo) * g.T;
  both.out = f.straight_out * g.out + (f.out - f.straight_out) * g.T + g.T * f.R21 * many * eye;
  both.thrown = f.thrown + f.T * up * many;
  both.lit = f.lit + f.T * many * eye;
  both.straight_in = beam * g.straight_in;
  both.straight_out = f.straight_out * g.straight_out;
  return both;
}

double over(const Slab& slab, double Rg) {
  return slab.seen + slab.in * slab.out * Rg / (1 - slab.R21 * Rg);
}

double diffuse_over(const Slab& slab, double Rg) {
  return slab.R12 + slab.T * slab.T * Rg / (1 - slab.R21 * Rg);
}

double reflectivity(double K, double S) {
  assert(K >= 0 && S >= 0);
  if (K == 0) return 1;
  return S / (S + K + std::sqrt(K * (K + 2 * S)));
}

}  // namespace mendtone
