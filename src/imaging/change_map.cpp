#include "mendtone/imaging/change_map.hpp"

#include <algorithm>
#include <cmath>

namespace mendtone {
namespace {

int parts(int whole, int part) {
  return (whole + part - 1) / part;
}

}  // namespace

ChangeMap::ChangeMap(ImageSize picture, int most_width, int most_height)
    : factor_(std::max({1, parts(picture.width, most_width), parts(picture.height, most_height)})),
      picture_(picture),
      cells_{parts(picture.width, factor_), parts(picture.height, factor_)},
      sums_(cells_.pixels()) {}

Result<void> ChangeMap::take(const ChangeRows& rows) {
  std::size_t i = 0;
  for (int y = rows.y0; y < rows.y1; ++y) {
    Cell* row = sums_.data() +
                static_cast<std::size_t>(y / factor_) * static_cast<std::size_t>(cells_.width);
    for (int x0 = 0; x0 < rows.width; x0 += factor_, ++row) {
      const int x1 = std::min(rows.width, x0 + factor_);
      for (int x = x0; x < x1; ++x, ++i) {
        if (rows.de00[i] < 0) continue;
        row->de00 += rows.de00[i];
        row->dL += rows.dL[i];
        row->da += rows.da[i];
        row->db += rows.db[i];
        ++row->pixels;
      }
    }
  }
  return {};
}

ChangeMap::Cell ChangeMap::at(int x, int y) const {
  Cell cell = sums_[static_cast<std::size_t>(y) * static_cast<std::size_t>(cells_.width) +
                    static_cast<std::size_t>(x)];
  if (cell.pixels > 0)
    for (float Cell::*field : {&Cell::de00, &Cell::dL, &Cell::da, &Cell::db})
      cell.*field /= static_cast<float>(cell.pixels);
  return cell;
}

double ChangeMap::percentile(double share, float Cell::*field) const {
  std::vector<float> values;
  for (const Cell& cell : sums_)
    if (cell.pixels > 0) values.push_back(std::abs(cell.*field) / static_cast<float>(cell.pixels));
  if (values.empty()) return 0;
  const auto at = static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), values.begin() + at, values.end());
  return values[static_cast<std::size_t>(at)];
}

}  // namespace mendtone
