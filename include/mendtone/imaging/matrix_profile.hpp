#pragma once
#include <array>
#include <memory>
#include <vector>

#include "mendtone/imaging/pixels.hpp"

namespace mendtone {

/// An RGB (or grey) profile of the simple kind: one curve a channel, then a matrix.
struct MatrixProfile {
  int channels = 3;  ///< 1 or 3
  /// Linear light for each 16-bit code, 65536 values; one curve for grey, three for RGB.
  std::vector<std::vector<float>> curves;
  /// Linear light to X/Xw, Y/Yw, Z/Zw, row-major, absolute colorimetric. Grey: the first column.
  std::array<double, 9> matrix{};
};

/// The fast way through such a profile: table, matrix, cube root, all planar.
/// Contract: as many curves as channels, each of 65536 values.
std::unique_ptr<PixelTransform> matrix_transform(MatrixProfile profile);

}  // namespace mendtone
