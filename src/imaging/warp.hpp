#pragma once
#include "imaging/sliding_rows.hpp"
#include "mendtone/imaging/registration.hpp"

namespace mendtone {

/// The rows of the after picture that some rows of the before picture need.
struct RowRange {
  int y0 = 0, y1 = 0;
  bool empty() const { return y1 <= y0; }
};
RowRange rows_needed(const PlaneMap& map, int width, int y0, int y1, ImageSize after);

/// Lab of the places `map(x, y)`, x0 <= x < x1, in one row y of the before picture, from rows of
/// the after picture (cubic). `covered[i]` is 0 outside the after picture; the planes there are 0.
class Warp {
 public:
  Warp(const PlaneMap& map, const PixelTransform& transform, ImageSize after)
      : map_(map), transform_(transform), after_(after) {}

  /// Fills planes of (x1 - x0) * (y1 - y0) values for a block of the before picture.
  void block(const CodedRows& rows, int x0, int x1, int y0, int y1, float* L, float* a, float* b,
             std::uint8_t* covered);

 private:
  const PlaneMap& map_;
  const PixelTransform& transform_;
  ImageSize after_;
  LabPixels window_;
};

}  // namespace mendtone
