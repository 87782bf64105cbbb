#include "imaging/warp.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace mendtone {
namespace {

struct Bounds {
  double x0, x1, y0, y1;
};

/// A projective map takes a rectangle to a quadrilateral, so its corners bound it.
Bounds bounds_of(const PlaneMap& map, double x0, double x1, double y0, double y1) {
  const std::array<Point, 4> corners{map({x0, y0}), map({x1, y0}), map({x0, y1}), map({x1, y1})};
  Bounds b{corners[0].x, corners[0].x, corners[0].y, corners[0].y};
  for (const Point& p : corners) {
    b.x0 = std::min(b.x0, p.x);
    b.x1 = std::max(b.x1, p.x);
    b.y0 = std::min(b.y0, p.y);
    b.y1 = std::max(b.y1, p.y);
  }
  return b;
}

/// Cubic convolution with a = -1/2, exact for parabolas. Ref: keys1981
std::array<float, 4> cubic(float t) {
  const float t2 = t * t, t3 = t2 * t;
  return {-0.5f * t + t2 - 0.5f * t3, 1 - 2.5f * t2 + 1.5f * t3, 0.5f * t + 2 * t2 - 1.5f * t3,
          -0.5f * t2 + 0.5f * t3};
}

int cut(double value, int top) {
  return static_cast<int>(std::clamp(value, 0.0, static_cast<double>(top)));
}

}  // namespace

RowRange rows_needed(const PlaneMap& map, int width, int y0, int y1, ImageSize after) {
  const Bounds b = bounds_of(map, 0, width - 1, y0, y1 - 1);
  return {cut(std::floor(b.y0) - 1, after.height), cut(std::floor(b.y1) + 3, after.height)};
}

void Warp::block(const CodedRows& rows, int x0, int x1, int y0, int y1, float* L, float* a,
                 float* b, std::uint8_t* covered) {
  const auto count = static_cast<std::size_t>(x1 - x0) * static_cast<std::size_t>(y1 - y0);
  std::fill_n(covered, count, std::uint8_t{0});
  std::fill_n(L, count, 0.0f);
  std::fill_n(a, count, 0.0f);
  std::fill_n(b, count, 0.0f);
  const Bounds area = bounds_of(map_, x0, x1 - 1, y0, y1 - 1);
  const int wx0 = cut(std::floor(area.x0) - 1, after_.width),
            wx1 = cut(std::floor(area.x1) + 3, after_.width);
  const int wy0 = std::max(rows.y0, cut(std::floor(area.y0) - 1, after_.height)),
            wy1 = std::min(rows.y1, cut(std::floor(area.y1) + 3, after_.height));
  if (wx1 <= wx0 || wy1 <= wy0) return;
  const auto ww = static_cast<std::size_t>(wx1 - wx0);
  window_.resize(ww * static_cast<std::size_t>(wy1 - wy0));
  for (int y = wy0; y < wy1; ++y) {
    const std::size_t at = static_cast<std::size_t>(y - wy0) * ww;
    transform_.to_lab(rows.row(y).part(static_cast<std::size_t>(wx0), ww), &window_.L[at],
                      &window_.a[at], &window_.b[at]);
  }
  std::size_t i = 0;
  for (int y = y0; y < y1; ++y)
    for (int x = x0; x < x1; ++x, ++i) {
      const Point p = map_({static_cast<double>(x), static_cast<double>(y)});
      if (!(p.x >= 0 && p.y >= 0 && p.x <= after_.width - 1 && p.y <= after_.height - 1)) continue;
      const double fx = std::floor(p.x), fy = std::floor(p.y);
      const auto wx = cubic(static_cast<float>(p.x - fx)), wy = cubic(static_cast<float>(p.y - fy));
      std::array<std::size_t, 4> column;
      for (int k = 0; k < 4; ++k)
        column[static_cast<std::size_t>(k)] =
            static_cast<std::size_t>(std::clamp(static_cast<int>(fx) - 1 + k, wx0, wx1 - 1) - wx0);
      for (int k = 0; k < 4; ++k) {
        const std::size_t row =
            static_cast<std::size_t>(std::clamp(static_cast<int>(fy) - 1 + k, wy0, wy1 - 1) - wy0) *
            ww;
        const float w = wy[static_cast<std::size_t>(k)];
        for (std::size_t c = 0; c < 4; ++c) {
          const std::size_t at = row + column[c];
          L[i] += w * wx[c] * window_.L[at];
          a[i] += w * wx[c] * window_.a[at];
          b[i] += w * wx[c] * window_.b[at];
        }
      }
      covered[i] = 1;
    }
}

}  // namespace mendtone
