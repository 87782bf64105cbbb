#pragma once
#include <cstddef>

#include "mendtone/colour/lab.hpp"

namespace mendtone {

/// The white of every number taken from an image: ICC D50 (X 0.9642, Y 1, Z 0.8249), here with
/// Y = 100. Ref: icc1
inline constexpr Xyz image_white{96.42, 100, 82.49};

/// X, Y, Z (relative to `image_white`, so white is 1, 1, 1) to L*, a*, b*, in place, over planes
/// of `count` floats. Branch-free; against the double path the error is below 1e-4 in L* and
/// 4e-4 in a* and b* for 0 <= X, Y, Z <= 2. Negative values pass through the linear branch.
/// Ref: iso11664-4
void relative_xyz_to_lab(float* X_to_L, float* Y_to_a, float* Z_to_b, std::size_t count);

/// The way back, in place. Exact inverse of the formula with both branches.
void lab_to_relative_xyz(float* L_to_X, float* a_to_Y, float* b_to_Z, std::size_t count);

}  // namespace mendtone
