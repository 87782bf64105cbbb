#include "mendtone/imaging/pyramid.hpp"

#include <algorithm>
#include <cassert>
#include <vector>

#include "mendtone/imaging/planar.hpp"

namespace mendtone {
namespace {

constexpr int rows_at_once = 64;

/// Light summed for one row of one level.
struct Sums {
  LabPixels light;
  int rows = 0;  ///< of the photograph that are in it

  void clear() {
    rows = 0;
    for (auto* plane : {&light.L, &light.a, &light.b}) std::fill(plane->begin(), plane->end(), 0);
  }
};

void add(const std::vector<float>& from, std::vector<float>& to) {
  for (std::size_t i = 0; i < from.size(); ++i) to[i / 2] += from[i];
}

void add(const LabPixels& from, LabPixels& to) {
  add(from.L, to.L);
  add(from.a, to.a);
  add(from.b, to.b);
}

class Levels {
 public:
  Levels(ImageSize size, int count, const LevelRow& take) : size_(size), take_(take) {
    for (int level = 1; level < count; ++level) {
      sums_.emplace_back().light.resize(static_cast<std::size_t>(level_size(size, level).width));
      sums_.back().clear();
    }
  }

  /// A row of the photograph, Lab; it becomes light.
  Result<void> put(int y, LabPixels& row) {
    if (auto taken = take_(0, y, row); !taken) return taken;
    if (sums_.empty()) return {};
    lab_to_relative_xyz(row.L.data(), row.a.data(), row.b.data(), row.size());
    return put_sum(0, y, row, 1);
  }

 private:
  /// `sum`: of `rows` rows of the photograph, the last of which is y; goes into level at + 1.
  Result<void> put_sum(std::size_t at, int y, const LabPixels& sum, int rows) {
    if (at == sums_.size()) return {};
    Sums& next = sums_[at];
    add(sum, next.light);
    next.rows += rows;
    const int level = static_cast<int>(at) + 1;
    const bool whole = (y + 1) % (1 << level) == 0 || y + 1 == size_.height;
    if (!whole) return {};
    if (auto taken = take_(level, y >> level, mean(next, level)); !taken) return taken;
    auto done = put_sum(at + 1, y, next.light, next.rows);
    next.clear();
    return done;
  }

  const LabPixels& mean(const Sums& sums, int level) {
    const std::size_t n = sums.light.size();
    row_.resize(n);
    for (std::size_t x = 0; x < n; ++x) {
      const int start = static_cast<int>(x) << level;
      const int wide = std::min(1 << level, size_.width - start);
      const float share = 1 / (static_cast<float>(wide) * static_cast<float>(sums.rows));
      row_.L[x] = sums.light.L[x] * share;
      row_.a[x] = sums.light.a[x] * share;
      row_.b[x] = sums.light.b[x] * share;
    }
    relative_xyz_to_lab(row_.L.data(), row_.a.data(), row_.b.data(), n);
    return row_;
  }

  ImageSize size_;
  const LevelRow& take_;
  std::vector<Sums> sums_;  ///< of level 1, 2 …
  LabPixels row_;
};

}  // namespace

ImageSize level_size(ImageSize picture, int level) {
  const auto part = [&](int whole) { return ((whole - 1) >> level) + 1; };
  return {part(picture.width), part(picture.height)};
}

int level_count(ImageSize picture, int tile) {
  int count = 1;
  for (ImageSize size = picture; std::max(size.width, size.height) > tile; ++count)
    size = level_size(picture, count);
  return count;
}

Result<void> pyramid(RowReader& picture, int levels, const LevelRow& take) {
  assert(levels >= 1);
  const ImageSize size = picture.size();
  Levels all(size, levels, take);
  CodedRows rows;
  LabPixels row;
  row.resize(static_cast<std::size_t>(size.width));
  for (int y0 = 0; y0 < size.height; y0 += rows_at_once) {
    const int y1 = std::min(size.height, y0 + rows_at_once);
    if (auto read = picture.read(y0, y1, rows); !read) return read;
    for (int y = y0; y < y1; ++y) {
      picture.transform().to_lab(rows.row(y), row.L.data(), row.a.data(), row.b.data());
      if (auto put = all.put(y, row); !put) return put;
    }
  }
  return {};
}

}  // namespace mendtone
