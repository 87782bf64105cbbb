#include "mendtone/colour/chromaticity.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "mendtone/base/table.hpp"
#include "mendtone/colour/lab.hpp"

namespace mendtone {
namespace {

constexpr double c2_m_K = 1.4388e-2;
constexpr double lowest_K = 1000, highest_K = 25000, furthest_duv = 0.05;
// CIE 15 allows sums at 5 nm; bands further apart are joined by straight lines instead.
constexpr double widest_summed_nm = 5 + 1e-6;
constexpr double first_summed_nm = 380, last_summed_nm = 780;

/// The CIE 1931 observer at 1 nm.
struct Observer2 {
  std::vector<double> nm, x, y, z;
};

const Observer2& observer() {
  static const Observer2 table = [] {
    const NumberTable numbers = reference_numbers("cie-observers-1nm.csv");
    return Observer2{*numbers.find("nm"), *numbers.find("x2"), *numbers.find("y2"),
                     *numbers.find("z2")};
  }();
  return table;
}

double between(const std::vector<double>& values, double at) {
  const auto i = std::min(static_cast<std::size_t>(at), values.size() - 2);
  const double t = at - static_cast<double>(i);
  return (1 - t) * values[i] + t * values[i + 1];
}

/// Adds `power` over `width_nm` at one wavelength.
void add(Xyz& sum, double nm, double power, double width_nm) {
  if (nm < first_summed_nm || nm > last_summed_nm) return;
  const Observer2& eye = observer();
  const double at = nm - eye.nm.front();
  sum.X += power * width_nm * between(eye.x, at);
  sum.Y += power * width_nm * between(eye.y, at);
  sum.Z += power * width_nm * between(eye.z, at);
}

double widest_step(std::span<const double> nm) {
  double widest = 0;
  for (std::size_t i = 1; i < nm.size(); ++i)
    if (nm[i] > first_summed_nm && nm[i - 1] < last_summed_nm)
      widest = std::max(widest, nm[i] - nm[i - 1]);
  return widest;
}

/// Half of the way to either neighbour; at an end as far as to the only one, as in a plain sum.
double width_of(std::span<const double> nm, std::size_t i) {
  const std::size_t last = nm.size() - 1;
  const double before = nm[std::max<std::size_t>(i, 1)] - nm[std::max<std::size_t>(i, 1) - 1];
  const double after = nm[std::min(i, last - 1) + 1] - nm[std::min(i, last - 1)];
  return (before + after) / 2;
}

Xyz summed(const Light& light) {
  Xyz sum;
  const auto nm = light.power.grid.nm();
  if (widest_step(nm) <= widest_summed_nm) {
    for (std::size_t i = 0; i < nm.size(); ++i)
      add(sum, nm[i], light.power.value[i], width_of(nm, i));
  } else {
    for (const double at : observer().nm) add(sum, at, power_at(light, at), 1);
  }
  return sum;
}

struct Uv {
  double u = 0, v = 0;
};

Uv uv_of(double X, double Y, double Z) {
  const double d = X + 15 * Y + 3 * Z;
  return {4 * X / d, 6 * Y / d};
}

Uv planckian(double T) {
  const Observer2& eye = observer();
  double X = 0, Y = 0, Z = 0;
  for (std::size_t i = 0; i < eye.nm.size(); ++i) {
    const double m = eye.nm[i] * 1e-9;
    // Only the shape counts, so the factor of 560 nm keeps the numbers near 1.
    const double power = std::pow(eye.nm[i] / 560, -5) / std::expm1(c2_m_K / (m * T));
    X += power * eye.x[i];
    Y += power * eye.y[i];
    Z += power * eye.z[i];
  }
  return uv_of(X, Y, Z);
}

double distance(const Uv& a, const Uv& b) {
  return std::hypot(a.u - b.u, a.v - b.v);
}

/// The place in [low, high] where `f`, which falls and then rises there, is least.
template <class F>
double least(F f, double low, double high) {
  const double golden = (std::sqrt(5.0) - 1) / 2;
  double a = high - golden * (high - low), b = low + golden * (high - low);
  double fa = f(a), fb = f(b);
  while (high - low > 1e-7) {
    if (fa < fb) {
      high = b;
      b = a;
      fb = fa;
      a = high - golden * (high - low);
      fa = f(a);
    } else {
      low = a;
      a = b;
      fa = fb;
      b = low + golden * (high - low);
      fb = f(b);
    }
  }
  return (low + high) / 2;
}

}  // namespace

Result<Chromaticity> chromaticity(const Light& light) {
  const Xyz xyz = summed(light);
  const double sum = xyz.X + xyz.Y + xyz.Z;
  if (!(xyz.Y > 0) || !(sum > 0))
    return bad_input("the light '" + light.name + "' has no power in 380-780 nm");
  return Chromaticity{xyz.X / sum, xyz.Y / sum};
}

std::optional<ColourTemperature> colour_temperature(const Chromaticity& colour) {
  const Uv at{colour.u_prime(), colour.v_prime() * 2 / 3};
  // In reciprocal megakelvin the locus is walked at nearly even steps.
  const double low = 1e6 / highest_K, high = 1e6 / lowest_K;
  const auto from_locus = [&](double mired) { return distance(at, planckian(1e6 / mired)); };
  constexpr int steps = 48;
  const double step = (high - low) / steps;
  int nearest = 0;
  double shortest_way = from_locus(low);
  for (int i = 1; i <= steps; ++i)
    if (const double d = from_locus(low + i * step); d < shortest_way) {
      shortest_way = d;
      nearest = i;
    }
  // At either end of the range the nearest may lie beyond it.
  constexpr double little = 1e-3;
  if (nearest == 0 && from_locus(low + little) >= shortest_way) return std::nullopt;
  if (nearest == steps && from_locus(high - little) >= shortest_way) return std::nullopt;
  const double mired = least(from_locus, std::max(low, low + (nearest - 1) * step),
                             std::min(high, low + (nearest + 1) * step));
  const Uv locus = planckian(1e6 / mired);
  const double duv = distance(at, locus);
  if (duv > furthest_duv) return std::nullopt;
  return ColourTemperature{1e6 / mired, at.v >= locus.v ? duv : -duv};
}

std::optional<double> share_below_400(const Spectrum& power) {
  constexpr double border_nm = 400;
  const auto nm = power.grid.nm();
  if (nm.front() >= border_nm) return std::nullopt;
  double below = 0, all = 0;
  for (std::size_t i = 1; i < nm.size(); ++i) {
    const double step = nm[i] - nm[i - 1];
    all += step * (power.value[i] + power.value[i - 1]) / 2;
    if (nm[i - 1] >= border_nm) continue;
    const double to = std::min(nm[i], border_nm), t = (to - nm[i - 1]) / step;
    const double at_end = (1 - t) * power.value[i - 1] + t * power.value[i];
    below += (to - nm[i - 1]) * (power.value[i - 1] + at_end) / 2;
  }
  if (!(all > 0)) return std::nullopt;
  return below / all;
}

}  // namespace mendtone
