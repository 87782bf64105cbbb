#pragma once
#include <array>
#include <cstdint>
#include <optional>
#include <utility>
#include <vector>

namespace mendtone::pictures {

void warm_up_comparing();

/// A plane of L* in memory, rows without gaps.
struct Plane {
  const float* values = nullptr;
  int width = 0, height = 0;
};

/// Reduced before to reduced after: a shift by phase correlation first, then all six numbers of an
/// affine map by the enhanced correlation coefficient. Nothing where they do not look alike.
/// Ref: evangelidis2008
std::optional<std::array<double, 6>> coarse_map(const Plane& before, const Plane& after);

/// One row of square blocks of the before picture, held against the after picture.
struct BlockRow {
  Plane before;  ///< `block` rows tall
  Plane after;   ///< the rows of it that these blocks lie in
  int block = 0, columns = 0;
  std::array<double, 6> map{};  ///< affine, from before to after, both in whole-picture pixels
  int before_row = 0, after_row = 0;  ///< where the first rows of both lie
};
struct BlockShift {
  double x = 0, y = 0;    ///< centre of the block in the before picture
  double dx = 0, dy = 0;  ///< what the map leaves over
};
/// The small correction that each block asks for, where it has enough structure to say.
std::vector<BlockShift> block_shifts(const BlockRow& row);

/// The outline of the largest part of a mask (255 inside, 0 outside), its corners no further than 1
/// pixel from the true edge.
std::vector<std::pair<std::int32_t, std::int32_t>> outline_of(unsigned char* mask, int width,
                                                              int height);

}  // namespace mendtone::pictures
