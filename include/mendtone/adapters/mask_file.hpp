#pragma once
#include <string>
#include <vector>

#include "mendtone/adapters/picture_program.hpp"
#include "mendtone/base/result.hpp"
#include "mendtone/imaging/region.hpp"

namespace mendtone {

/// Its size, from its head. Refuses what is no picture, and one that is stored turned or mirrored.
Result<ImageSize> mask_size(const std::string& path);

/// A mask drawn over a photograph: white (half of full or more, first channel) is inside, black is
/// outside. TIFF, PNG or JPEG; no profile needed. Refuses another size than the photograph's, and a
/// mask without an inside.
Result<Region> read_mask(const std::string& path, const std::string& name, ImageSize picture);

/// The outline of the largest white part of a mask, its corners no further than 1 pixel from the
/// true edge.
Result<std::vector<Point>> mask_outline(const std::string& path);

}  // namespace mendtone
