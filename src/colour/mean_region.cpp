#include "mendtone/colour/mean_region.hpp"

#include <cmath>

#include "mendtone/colour/conformance.hpp"

namespace mendtone {
namespace {

constexpr double pi = 3.14159265358979323846;

}  // namespace

std::optional<MeanRegion> mean_region95(std::span<const Lab> repeats) {
  if (repeats.size() < 3) return std::nullopt;
  const double n = static_cast<double>(repeats.size());
  Lab mean;
  for (const Lab& lab : repeats) {
    mean.L += lab.L / n;
    mean.a += lab.a / n;
    mean.b += lab.b / n;
  }
  double LL = 0, aa = 0, ab = 0, bb = 0;
  for (const Lab& lab : repeats) {
    const double L = lab.L - mean.L, a = lab.a - mean.a, b = lab.b - mean.b;
    LL += L * L / (n - 1);
    aa += a * a / (n - 1);
    ab += a * b / (n - 1);
    bb += b * b / (n - 1);
  }
  // T2 for p = 2: 2 (n-1)/(n-2) F(2, n-2), whose quantile has a closed form.
  const double t2 = (n - 1) * (std::pow(0.05, -2 / (n - 2)) - 1);
  const double middle = (aa + bb) / 2;
  const double half_gap = std::hypot((aa - bb) / 2, ab);
  MeanRegion region;
  region.n = repeats.size();
  region.L_half = student_quantile(0.975, n - 1) * std::sqrt(LL / n);
  region.ab_major = std::sqrt(t2 * (middle + half_gap) / n);
  region.ab_minor = std::sqrt(t2 * std::fmax(0, middle - half_gap) / n);
  region.ab_angle_deg = 90 / pi * std::atan2(2 * ab, aa - bb);
  return region;
}

}  // namespace mendtone
