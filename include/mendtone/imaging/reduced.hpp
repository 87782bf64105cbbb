#pragma once
#include "mendtone/base/result.hpp"
#include "mendtone/imaging/pixels.hpp"

namespace mendtone {

/// A rectangle of whole pixels.
struct Window {
  int x0 = 0, y0 = 0;
  ImageSize size;
};

/// A picture, or a part of one, in memory; row by row.
struct LabPicture {
  ImageSize size;
  LabPixels lab;
};

/// A window of a photograph made `factor` times smaller along each axis: each pixel is the mean
/// light (X, Y, Z) of `factor` x `factor` pixels, of fewer at the right and lower edges. A window
/// that starts at whole multiples of the factor gives the pixels that the whole picture would, bit
/// for bit, so that pieces fit together. Memory: the result, and some rows of the photograph.
/// Refuses what reading refuses, a window that is empty or leaves the picture, a factor below 1,
/// and a result of more than 100 megapixels.
Result<LabPicture> reduced(RowReader& picture, const Window& window, int factor);

}  // namespace mendtone
