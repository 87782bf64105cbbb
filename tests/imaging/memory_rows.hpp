#pragma once
#include <cmath>
#include <cstddef>
#include <vector>

#include "mendtone/imaging/matrix_profile.hpp"
#include "mendtone/imaging/pixels.hpp"

namespace mendtone {

/// A working space with a gamma of 2.2 and the primaries of sRGB, adapted to D50 (golden figures of
/// the ICC's sRGB profile, from memory; any sound matrix would do).
inline MatrixProfile plain_rgb() {
  MatrixProfile profile;
  std::vector<float> curve(65536);
  for (std::size_t i = 0; i < curve.size(); ++i)
    curve[i] = static_cast<float>(std::pow(static_cast<double>(i) / 65535, 2.2));
  profile.curves = {curve, curve, curve};
  profile.matrix = {0.4361 / 0.9642, 0.3851 / 0.9642, 0.1430 / 0.9642, 0.2225,         0.7169,
                    0.0606,          0.0139 / 0.8249, 0.0971 / 0.8249, 0.7139 / 0.8249};
  return profile;
}

/// A photograph in memory, 16 bits, RGB.
class MemoryRows final : public RowReader {
 public:
  MemoryRows(ImageSize size, std::vector<std::uint16_t> codes)
      : size_(size), codes_(std::move(codes)), transform_(matrix_transform(plain_rgb())) {}

  ImageSize size() const override { return size_; }
  const PixelTransform& transform() const override { return *transform_; }
  Result<void> read(int y0, int y1, CodedRows& rows) override {
    const auto row = 3 * static_cast<std::ptrdiff_t>(size_.width);
    rows.width = size_.width;
    rows.channels = 3;
    rows.y0 = y0;
    rows.y1 = y1;
    rows.f32.clear();
    rows.u16.assign(codes_.begin() + y0 * row, codes_.begin() + y1 * row);
    most_rows_ = std::max(most_rows_, y1 - y0);
    return {};
  }
  int most_rows_at_once() const { return most_rows_; }

 private:
  ImageSize size_;
  std::vector<std::uint16_t> codes_;
  std::unique_ptr<PixelTransform> transform_;
  int most_rows_ = 0;
};

}  // namespace mendtone
