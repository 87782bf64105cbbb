#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/imaging/pixels.hpp"

namespace mendtone {

/// Pixels x0 <= x < x1 of one row.
struct Span {
  int x0 = 0, x1 = 0;
  bool operator==(const Span&) const = default;
};

/// A named part of a picture, as runs of pixels row by row: small even for a large picture.
struct Region {
  std::string name;
  int y0 = 0;                           ///< the row of `rows[0]`
  std::vector<std::vector<Span>> rows;  ///< spans rise and do not touch

  int y1() const { return y0 + static_cast<int>(rows.size()); }
  /// The spans of row y; none outside.
  const std::vector<Span>& at(int y) const;
  std::size_t pixels() const;
  bool empty() const { return pixels() == 0; }
};

struct Point {
  double x = 0, y = 0;
};

/// Pixels of the rectangle. Refuses one that is empty or leaves the picture.
Result<Region> rectangle_region(std::string name, int x, int y, int width, int height,
                                ImageSize picture);

/// Pixels whose centres lie inside (even-odd rule). At least three corners; refuses one that
/// leaves the picture or holds no pixel.
Result<Region> polygon_region(std::string name, const std::vector<Point>& corners,
                              ImageSize picture);

Region whole_picture(ImageSize picture);

/// Pixels of a mask: `inside[y * width + x]` not 0.
Region mask_region(std::string name, const std::vector<std::uint8_t>& inside, ImageSize picture);

/// Pixels outside `loss` whose distance from its nearest pixel is more than `from_px` and at most
/// `to_px` (between centres, exact). Refuses an empty ring, and one whose surroundings hold more
/// than 100 megapixels. Ref: felzenszwalb2012
Result<Region> ring_region(std::string name, const Region& loss, double from_px, double to_px,
                           ImageSize picture);

/// Distance in pixels, signed, of every pixel of a window from the region's edge: above 0 outside
/// (to the nearest inside pixel), below 0 inside (to the nearest outside pixel). Row-major.
struct DistanceField {
  int x0 = 0, y0 = 0;
  ImageSize size;
  std::vector<float> distance;

  float at(int x, int y) const;
  bool covers(int x, int y) const;
};

/// For the region's bounding box with `margin_px` around it, cut at the picture's edges. Refuses
/// more than 100 megapixels.
Result<DistanceField> distance_field(const Region& region, int margin_px, ImageSize picture);

}  // namespace mendtone
