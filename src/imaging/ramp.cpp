#include "mendtone/imaging/ramp.hpp"

#include <array>
#include <cassert>
#include <span>

#include "mendtone/colour/difference.hpp"

namespace mendtone {
namespace {

// Our own choice of way through CIELAB: lightness falls evenly, hue turns from yellow by red to
// blue (away from the greens that red-blind eyes confuse with it), chroma stays within sRGB.
constexpr std::array<Lab, 6> amount_way{
    {{97, 0, 6}, {86, 3, 44}, {72, 30, 48}, {54, 48, 24}, {36, 42, -16}, {18, 24, -38}}};
constexpr std::array<Lab, 3> below_way{{{96, 0, 0}, {66, -4, -26}, {34, 6, -46}}};
constexpr std::array<Lab, 3> above_way{{{96, 0, 0}, {70, 20, 46}, {36, 34, 42}}};

Lab between(const Lab& p, const Lab& q, double t) {
  return {p.L + t * (q.L - p.L), p.a + t * (q.a - p.a), p.b + t * (q.b - p.b)};
}

/// `count` colours along the polyline, at equal CIEDE2000 path lengths.
std::vector<Lab> even_steps(std::span<const Lab> way, std::size_t count) {
  constexpr int fine = 400;
  std::vector<Lab> points{way.front()};
  std::vector<double> length{0};
  for (std::size_t leg = 0; leg + 1 < way.size(); ++leg)
    for (int i = 1; i <= fine; ++i) {
      points.push_back(between(way[leg], way[leg + 1], static_cast<double>(i) / fine));
      length.push_back(length.back() + de00(points[points.size() - 2], points.back()));
    }
  std::vector<Lab> ramp;
  std::size_t at = 0;
  for (std::size_t i = 0; i < count; ++i) {
    const double target = length.back() * static_cast<double>(i) / static_cast<double>(count - 1);
    while (at + 2 < length.size() && length[at + 1] < target) ++at;
    ramp.push_back(
        between(points[at], points[at + 1], (target - length[at]) / (length[at + 1] - length[at])));
  }
  return ramp;
}

}  // namespace

std::vector<Lab> amount_ramp(std::size_t count) {
  assert(count >= 2);
  return even_steps(amount_way, count);
}

std::vector<Lab> signed_ramp(std::size_t count) {
  assert(count >= 3 && count % 2 == 1);
  const auto below = even_steps(below_way, count / 2 + 1),
             above = even_steps(above_way, count / 2 + 1);
  std::vector<Lab> ramp(below.rbegin(), below.rend());
  ramp.insert(ramp.end(), above.begin() + 1, above.end());
  return ramp;
}

}  // namespace mendtone
