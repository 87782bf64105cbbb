#include "mendtone/optics/layer.hpp"

#include <cassert>
#include <cmath>

namespace mendtone {
namespace {

/// sinh(x) / x, exact through 0.
double sinhc(double x) {
  if (x < 1e-3) return 1 + x * x / 6 * (1 + x * x / 20);
  return std::sinh(x) / x;
}

}  // namespace

// With x = b S X = sqrt(KX (KX + 2 SX)) the textbook forms
//   R0 = sinh x / (a sinh x + b cosh x),   T = b / (a sinh x + b cosh x),   a = 1 + K/S
// become, multiplied through by SX / x,
//   R0 = SX sinhc x / D,   T = 1 / D,   D = (KX + SX) sinhc x + cosh x,
// in which nothing is divided by K or S.
Slab layer(double KX, double SX) {
  assert(KX >= 0 && SX >= 0);
  const double x = std::sqrt(KX * (KX + 2 * SX));
  if (x > 300) {  // cosh would overflow; what comes through is below 1e-130
    const double R = SX / (KX + SX + x);
    return {R, R, 0};
  }
  const double s = sinhc(x);
  const double D = (KX + SX) * s + std::cosh(x);
  const double R = SX * s / D;
  return {R, R, 1 / D};
}

Slab in_front(const Slab& f, const Slab& g) {
  const double many = 1 / (1 - f.R21 * g.R12);
  return {f.R12 + f.T * f.T * g.R12 * many, g.R21 + g.T * g.T * f.R21 * many, f.T * g.T * many};
}

double over(const Slab& slab, double Rg) {
  return slab.R12 + slab.T * slab.T * Rg / (1 - slab.R21 * Rg);
}

double reflectivity(double K, double S) {
  assert(K >= 0 && S >= 0);
  if (K == 0) return 1;
  return S / (S + K + std::sqrt(K * (K + 2 * S)));
}

}  // namespace mendtone
