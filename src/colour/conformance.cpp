#include "mendtone/colour/conformance.hpp"

#include <cassert>
#include <cmath>
#include <limits>
#include <numbers>
#include <unsupported/Eigen/SpecialFunctions>

namespace mendtone {
namespace {

double student_below(double t, double freedom) {
  if (std::isinf(freedom)) return std::erfc(-t / std::numbers::sqrt2) / 2;
  const double tail = Eigen::numext::betainc(freedom / 2, 0.5, freedom / (freedom + t * t)) / 2;
  return t > 0 ? 1 - tail : tail;
}

}  // namespace

double conformance_probability(double measured, double u, double limit, double freedom) {
  assert(u > 0 && freedom > 0);
  return student_below((limit - measured) / u, freedom);
}

double acceptance_limit(double limit, double expanded_uncertainty) {
  return limit - expanded_uncertainty;
}

double student_quantile(double p, double freedom) {
  assert(p > 0 && p < 1 && freedom > 0);
  double low = -1, high = 1;
  while (student_below(low, freedom) > p) low *= 2;
  while (student_below(high, freedom) < p) high *= 2;
  for (int i = 0; i < 200 && high - low > 1e-13 * std::fabs(low); ++i) {
    const double middle = (low + high) / 2;
    (student_below(middle, freedom) < p ? low : high) = middle;
  }
  return (low + high) / 2;
}

double fisher_tail(double f, double freedom1, double freedom2) {
  assert(f >= 0 && freedom1 > 0 && freedom2 > 0);
  return Eigen::numext::betainc(freedom2 / 2, freedom1 / 2, freedom2 / (freedom2 + freedom1 * f));
}

}  // namespace mendtone
