#include "mendtone/imaging/region.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>

namespace mendtone {
namespace {

const std::vector<Span> none;

struct Box {
  int x0 = std::numeric_limits<int>::max(), x1 = 0;
};

Box columns_of(const Region& region) {
  Box box;
  for (const auto& row : region.rows)
    if (!row.empty()) {
      box.x0 = std::min(box.x0, row.front().x0);
      box.x1 = std::max(box.x1, row.back().x1);
    }
  return box;
}

/// Squared distance along one line to the lower envelope of parabolas rooted at `height`.
void envelope(std::vector<float>& height, std::vector<int>& root, std::vector<float>& border,
              std::vector<float>& out) {
  const int n = static_cast<int>(height.size());
  const auto h = [&](int i) { return height[static_cast<std::size_t>(i)]; };
  int k = -1;
  for (int q = 0; q < n; ++q) {
    if (std::isinf(h(q))) continue;
    float s = -std::numeric_limits<float>::infinity();
    while (k >= 0) {
      const int v = root[static_cast<std::size_t>(k)];
      const double top = (double(h(q)) + double(q) * q) - (double(h(v)) + double(v) * v);
      s = static_cast<float>(top / (2.0 * q - 2.0 * v));
      if (s > border[static_cast<std::size_t>(k)]) break;
      --k;
    }
    if (k < 0) s = -std::numeric_limits<float>::infinity();
    ++k;
    root[static_cast<std::size_t>(k)] = q;
    border[static_cast<std::size_t>(k)] = s;
  }
  out.assign(height.size(), std::numeric_limits<float>::infinity());
  if (k >= 0) {
    int j = 0;
    for (int q = 0; q < n; ++q) {
      while (j < k && border[static_cast<std::size_t>(j) + 1] < static_cast<float>(q)) ++j;
      const int v = root[static_cast<std::size_t>(j)];
      out[static_cast<std::size_t>(q)] =
          static_cast<float>((q - v)) * static_cast<float>(q - v) + h(v);
    }
  }
  height = out;
}

/// From every pixel to the nearest seed (value 0; others infinite), squared, in place.
void squared_distances(std::vector<float>& field, ImageSize size) {
  const auto w = static_cast<std::size_t>(size.width), h = static_cast<std::size_t>(size.height);
  const std::size_t longest = std::max(w, h) + 1;
  std::vector<int> root(longest);
  std::vector<float> border(longest), out, line;
  for (std::size_t x = 0; x < w; ++x) {
    line.resize(h);
    for (std::size_t y = 0; y < h; ++y) line[y] = field[y * w + x];
    envelope(line, root, border, out);
    for (std::size_t y = 0; y < h; ++y) field[y * w + x] = line[y];
  }
  for (std::size_t y = 0; y < h; ++y) {
    const auto first = field.begin() + static_cast<std::ptrdiff_t>(y * w);
    line.assign(first, first + static_cast<std::ptrdiff_t>(w));
    envelope(line, root, border, out);
    std::copy(line.begin(), line.end(), first);
  }
}

void append_runs(std::vector<Span>& row, int x0, int x1, const auto& inside) {
  for (int x = x0; x < x1;) {
    while (x < x1 && !inside(x)) ++x;
    const int start = x;
    while (x < x1 && inside(x)) ++x;
    if (x > start) row.push_back({start, x});
  }
}

}  // namespace

const std::vector<Span>& Region::at(int y) const {
  return y < y0 || y >= y1() ? none : rows[static_cast<std::size_t>(y - y0)];
}

std::size_t Region::pixels() const {
  std::size_t count = 0;
  for (const auto& row : rows)
    for (const Span& span : row) count += static_cast<std::size_t>(span.x1 - span.x0);
  return count;
}

Result<Region> rectangle_region(std::string name, int x, int y, int width, int height,
                                ImageSize picture) {
  if (width <= 0 || height <= 0)
    return bad_request("the rectangle '" + name + "' is empty: width and height must be above 0");
  // 64 bits: x + width may pass the largest int.
  if (x < 0 || y < 0 || std::int64_t{x} + width > picture.width ||
      std::int64_t{y} + height > picture.height)
    return bad_request("the rectangle '" + name + "' leaves the picture of " +
                       std::to_string(picture.width) + " x " + std::to_string(picture.height) +
                       " pixels");
  return Region{std::move(name), y,
                std::vector<std::vector<Span>>(static_cast<std::size_t>(height),
                                               std::vector<Span>{{x, x + width}})};
}

Result<Region> polygon_region(std::string name, const std::vector<Point>& corners,
                              ImageSize picture) {
  if (corners.size() < 3)
    return bad_request("the polygon '" + name + "' needs at least three corners");
  double top = corners[0].y, bottom = corners[0].y;
  for (const Point& p : corners) {
    if (!(p.x >= 0 && p.y >= 0 && p.x <= picture.width && p.y <= picture.height))
      return bad_request("the polygon '" + name + "' leaves the picture of " +
                         std::to_string(picture.width) + " x " + std::to_string(picture.height) +
                         " pixels");
    top = std::min(top, p.y);
    bottom = std::max(bottom, p.y);
  }
  Region region{std::move(name), static_cast<int>(std::floor(top)), {}};
  const int end = std::min(picture.height, static_cast<int>(std::ceil(bottom)));
  for (int y = region.y0; y < end; ++y) {
    std::vector<double> crossings;
    const double line = y + 0.5;
    for (std::size_t i = 0; i < corners.size(); ++i) {
      const Point &p = corners[i], &q = corners[(i + 1) % corners.size()];
      if ((p.y <= line) != (q.y <= line))
        crossings.push_back(p.x + (line - p.y) / (q.y - p.y) * (q.x - p.x));
    }
    std::sort(crossings.begin(), crossings.end());
    std::vector<Span> row;
    for (std::size_t i = 0; i + 1 < crossings.size(); i += 2) {
      const int x0 = static_cast<int>(std::ceil(crossings[i] - 0.5)),
                x1 = std::min(picture.width, static_cast<int>(std::ceil(crossings[i + 1] - 0.5)));
      if (x1 <= x0) continue;
      if (!row.empty() && row.back().x1 == x0)
        row.back().x1 = x1;
      else
        row.push_back({x0, x1});
    }
    region.rows.push_back(std::move(row));
  }
  if (region.empty()) return bad_request("the polygon '" + region.name + "' holds no pixel");
  return region;
}

Region whole_picture(ImageSize picture) {
  return {"whole picture", 0,
          std::vector<std::vector<Span>>(static_cast<std::size_t>(picture.height),
                                         std::vector<Span>{{0, picture.width}})};
}

Region mask_region(std::string name, const std::vector<std::uint8_t>& inside, ImageSize picture) {
  assert(inside.size() == picture.pixels());
  Region region{std::move(name), 0, {}};
  for (int y = 0; y < picture.height; ++y) {
    const std::uint8_t* row =
        inside.data() + static_cast<std::size_t>(y) * static_cast<std::size_t>(picture.width);
    region.rows.emplace_back();
    append_runs(region.rows.back(), 0, picture.width, [&](int x) { return row[x] != 0; });
  }
  return region;
}

float DistanceField::at(int x, int y) const {
  assert(covers(x, y));
  return distance[static_cast<std::size_t>(y - y0) * static_cast<std::size_t>(size.width) +
                  static_cast<std::size_t>(x - x0)];
}

bool DistanceField::covers(int x, int y) const {
  return x >= x0 && y >= y0 && x < x0 + size.width && y < y0 + size.height;
}

Result<DistanceField> distance_field(const Region& region, int margin_px, ImageSize picture) {
  assert(!region.empty());
  const Box box = columns_of(region);
  DistanceField field;
  field.x0 = std::max(0, box.x0 - margin_px);
  field.y0 = std::max(0, region.y0 - margin_px);
  field.size = {std::min(picture.width, box.x1 + margin_px) - field.x0,
                std::min(picture.height, region.y1() + margin_px) - field.y0};
  if (field.size.pixels() > 100'000'000)
    return bad_request("'" + region.name +
                       "' spreads over more than 100 megapixels; take one loss at a time");
  constexpr float far = std::numeric_limits<float>::infinity();
  std::vector<float> outside(field.size.pixels(), far), inside(field.size.pixels(), 0);
  for (int y = 0; y < field.size.height; ++y)
    for (const Span& span : region.at(field.y0 + y)) {
      const std::size_t row =
          static_cast<std::size_t>(y) * static_cast<std::size_t>(field.size.width);
      for (int x = span.x0; x < span.x1; ++x) {
        outside[row + static_cast<std::size_t>(x - field.x0)] = 0;
        inside[row + static_cast<std::size_t>(x - field.x0)] = far;
      }
    }
  squared_distances(outside, field.size);
  squared_distances(inside, field.size);
  field.distance.resize(outside.size());
  for (std::size_t i = 0; i < outside.size(); ++i)
    field.distance[i] = outside[i] > 0 ? std::sqrt(outside[i]) : -std::sqrt(inside[i]);
  return field;
}

Result<Region> ring_region(std::string name, const Region& loss, double from_px, double to_px,
                           ImageSize picture) {
  if (!(from_px >= 0 && to_px > from_px))
    return bad_request("the ring needs two distances, the second above the first");
  if (loss.empty()) return bad_request("the loss holds no pixel");
  auto field = MENDTONE_TRY(
      distance_field(loss, static_cast<int>(std::ceil(std::min(to_px, 1e6))), picture));
  Region ring{std::move(name), field.y0, {}};
  for (int y = field.y0; y < field.y0 + field.size.height; ++y) {
    ring.rows.emplace_back();
    append_runs(ring.rows.back(), field.x0, field.x0 + field.size.width, [&](int x) {
      const float d = field.at(x, y);
      return d > from_px && d <= to_px;
    });
  }
  if (ring.empty()) return bad_request("the ring around the loss holds no pixel");
  return ring;
}

}  // namespace mendtone
