#include "mendtone/imaging/fill.hpp"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>

#include "mendtone/base/random.hpp"
#include "mendtone/imaging/planar.hpp"

namespace mendtone {
namespace {

using Matrix = std::array<double, 9>;
constexpr Matrix cones{0.8951, 0.2664, -0.1614, -0.7502, 1.7135, 0.0367, 0.0389, -0.0685, 1.0296};

std::array<double, 3> response(const Xyz& t) {
  std::array<double, 3> r{};
  for (std::size_t i = 0; i < 3; ++i)
    r[i] = cones[3 * i] * t.X + cones[3 * i + 1] * t.Y + cones[3 * i + 2] * t.Z;
  return r;
}

/// Cramer's rule on the matrix above.
Xyz from_response(const std::array<double, 3>& r) {
  const Matrix& m = cones;
  const double c0 = m[4] * m[8] - m[5] * m[7], c1 = m[5] * m[6] - m[3] * m[8],
               c2 = m[3] * m[7] - m[4] * m[6];
  const double d = m[0] * c0 + m[1] * c1 + m[2] * c2;
  return {
      (c0 * r[0] + (m[2] * m[7] - m[1] * m[8]) * r[1] + (m[1] * m[5] - m[2] * m[4]) * r[2]) / d,
      (c1 * r[0] + (m[0] * m[8] - m[2] * m[6]) * r[1] + (m[2] * m[3] - m[0] * m[5]) * r[2]) / d,
      (c2 * r[0] + (m[1] * m[6] - m[0] * m[7]) * r[1] + (m[0] * m[4] - m[1] * m[3]) * r[2]) / d};
}

/// Smooth noise, 0 … 1, of a grain's size.
double noise(double x, double y) {
  const auto at = [](double i, double j) {
    const auto u = static_cast<std::uint32_t>(static_cast<std::int64_t>(i)),
               v = static_cast<std::uint32_t>(static_cast<std::int64_t>(j));
    return philox4x32_10({u, v, 0, 0}, {4, 0})[0] / 4294967296.0;
  };
  const double i = std::floor(x), j = std::floor(y), s = x - i, t = y - j;
  const double a = s * s * (3 - 2 * s), b = t * t * (3 - 2 * t);
  return (at(i, j) * (1 - a) + at(i + 1, j) * a) * (1 - b) +
         (at(i, j + 1) * (1 - a) + at(i + 1, j + 1) * a) * b;
}

Lab mixed_light(const Lab& p, const Lab& q, double share_of_q) {
  const Xyz a = lab_to_xyz(p, image_white), b = lab_to_xyz(q, image_white);
  const double s = share_of_q;
  return xyz_to_lab({a.X + s * (b.X - a.X), a.Y + s * (b.Y - a.Y), a.Z + s * (b.Z - a.Z)},
                    image_white);
}

Lab sum(const Lab& p, const Lab& q) {
  return {p.L + q.L, p.a + q.a, p.b + q.b};
}

}  // namespace

Xyz adapt(const Xyz& xyz, const Xyz& from_white, const Xyz& to_white) {
  const auto from = response(from_white), to = response(to_white);
  auto r = response(xyz);
  for (std::size_t i = 0; i < 3; ++i) r[i] *= to[i] / from[i];
  return from_response(r);
}

FillPainter::FillPainter(DistanceField field, FillPaint paint, const PixelTransform& transform)
    : field_(std::move(field)), paint_(std::move(paint)), transform_(&transform) {
  // Noise is not evenly spread, so the limits that give the shares asked for are read off it.
  std::vector<double> values;
  for (int y = 0; y < field_.size.height; ++y)
    for (int x = 0; x < field_.size.width; ++x)
      if (field_.at(field_.x0 + x, field_.y0 + y) < 0)
        values.push_back(
            noise((field_.x0 + x) / paint_.grain_px, (field_.y0 + y) / paint_.grain_px));
  std::sort(values.begin(), values.end());
  double share = 0;
  for (const Stipple& s : paint_.stipple) {
    share += s.share;
    const auto at = static_cast<std::size_t>(share * static_cast<double>(values.size()));
    limits_.push_back(values.empty() ? 0 : values[std::min(at, values.size() - 1)]);
  }
}

Result<FillPainter> FillPainter::plan(const Region& loss, const FillPaint& paint,
                                      const PixelTransform& transform, ImageSize picture) {
  assert(transform.writable());
  const double reach = std::max(paint.feather_px / 2, paint.overlap_px);
  auto field = MENDTONE_TRY(distance_field(loss, static_cast<int>(std::ceil(reach)) + 1, picture));
  return FillPainter(std::move(field), paint, transform);
}

Lab FillPainter::tone_at(int x, int y) const {
  if (limits_.empty()) return paint_.base;
  const double value = noise(x / paint_.grain_px, y / paint_.grain_px);
  for (std::size_t i = 0; i < limits_.size(); ++i)
    if (value < limits_[i]) return sum(paint_.base, paint_.stipple[i].shift);
  return paint_.base;
}

void FillPainter::paint(int y, std::uint16_t* row, Painted& count) const {
  if (y < field_.y0 || y >= field_.y0 + field_.size.height) return;
  for (int x = field_.x0; x < field_.x0 + field_.size.width; ++x) {
    const double d = field_.at(x, y);
    const double half = paint_.feather_px / 2;
    // Pixel centres lie half a pixel off the edge.
    const double edge = d > 0 ? d - 0.5 : d + 0.5;
    const double cover = half > 0 ? std::clamp(0.5 - edge / (2 * half), 0.0, 1.0) : d < 0 ? 1 : 0;
    const bool overlap = d > 0 && d <= paint_.overlap_px;
    if (cover == 0 && !overlap) continue;
    std::uint16_t* code = row + 3 * static_cast<std::size_t>(x);
    float L = 0, a = 0, b = 0;
    transform_->to_lab({code, nullptr, 1, 3}, &L, &a, &b);
    // Inside, the photograph shows the hole and its shadow, which the fill will cover.
    Lab lab = d > 0 ? Lab{L, a, b} : paint_.sheet;
    if (overlap) lab = sum(lab, paint_.overlap_shift);
    if (cover > 0) lab = mixed_light(lab, tone_at(x, y), cover);
    L = static_cast<float>(lab.L);
    a = static_cast<float>(lab.a);
    b = static_cast<float>(lab.b);
    ++count.pixels;
    count.out_of_gamut += transform_->from_lab(&L, &a, &b, 1, code);
  }
}

}  // namespace mendtone
