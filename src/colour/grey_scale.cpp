#include "mendtone/colour/grey_scale.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "mendtone/colour/difference.hpp"

namespace mendtone {
namespace {

double square(double x) {
  return x * x;
}

/// The mean of two hue angles, the short way round, in 0-360 degrees.
double mean_hue(double h1, double h2) {
  double mean = (h1 + h2) / 2;
  if (std::abs(h1 - h2) > 180) mean += mean < 180 ? 180 : -180;
  return mean;
}

std::string_view step_of(double deF) {
  static constexpr std::array<std::pair<double, std::string_view>, 8> below{{{0.40, "5"},
                                                                             {1.25, "4-5"},
                                                                             {2.10, "4"},
                                                                             {2.95, "3-4"},
                                                                             {4.10, "3"},
                                                                             {5.80, "2-3"},
                                                                             {8.20, "2"},
                                                                             {11.60, "1-2"}}};
  for (const auto& [limit, step] : below)
    if (deF < limit) return step;
  return "1";
}

}  // namespace

// Symbols of ISO 105-A05, clauses 7.2 and 8.
GreyScale grey_scale(const Lab& before, const Lab& after) {
  const SignedDifference d = signed_difference(before, after);
  const Lch one = lab_to_lch(before), two = lab_to_lch(after);
  const double CM = (one.C + two.C) / 2;
  const double hM = mean_hue(one.h, two.h);
  const double apart = std::abs(hM - 280);
  const double x = square((apart <= 180 ? apart : 360 - apart) / 30);
  const double D = d.dC * CM * std::exp(-x) / 100;
  const double dCF = (d.dC - D) / (1 + square(20 * CM / 1000));
  const double dHF = (d.dH - D) / (1 + square(10 * CM / 1000));
  GreyScale found;
  found.deF = std::sqrt(square(d.dL) + square(dCF) + square(dHF));
  found.rating =
      found.deF <= 3.4 ? 5 - found.deF / 1.7 : std::max(1.0, 5 - std::log2(found.deF / 0.85));
  found.step = step_of(found.deF);
  return found;
}

}  // namespace mendtone
