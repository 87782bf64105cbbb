#pragma once
#include <functional>

#include "mendtone/base/result.hpp"
#include "mendtone/imaging/pixels.hpp"

namespace mendtone {

/// Size of a picture made 2^level times smaller along each axis.
ImageSize level_size(ImageSize picture, int level);
/// How many levels there are until one fits into a square of `tile` pixels; at least 1.
int level_count(ImageSize picture, int tile);

/// One finished row of one level.
using LevelRow = std::function<Result<void>(int level, int y, const LabPixels& row)>;

/// Every level of a photograph in one pass over its rows: level 0 as it is, level n what `reduced`
/// gives for a factor of 2^n (but for the rounding of sums). The rows of a level come in rising
/// order, those of different levels mixed. Memory: some rows of the photograph and one row a level.
/// An error of `take` or of reading ends it. Contract: levels >= 1.
Result<void> pyramid(RowReader& picture, int levels, const LevelRow& take);

}  // namespace mendtone
