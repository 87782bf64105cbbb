#pragma once
#include <string>

#include "mendtone/base/result.hpp"
#include "mendtone/imaging/region.hpp"

namespace mendtone {

/// A mask drawn over a photograph: white (half of full or more, first channel) is inside, black is
/// outside. TIFF, PNG or JPEG; no profile needed. Refuses another size than the photograph's, and a
/// mask without an inside.
Result<Region> read_mask(const std::string& path, const std::string& name, ImageSize picture);

}  // namespace mendtone
