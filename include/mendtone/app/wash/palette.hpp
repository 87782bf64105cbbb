#pragma once
#include <string>
#include <string_view>

#include "mendtone/app/inputs/inputs.hpp"
#include "mendtone/base/result.hpp"
#include "mendtone/materials/palette.hpp"

namespace mendtone::app {

/// The palette in the text of what `colorant --out` wrote. `name` is only for messages.
Result<Palette> palette_from(std::string_view text, const std::string& name);

/// Reads the file (exit 4 where it cannot be opened, exit 3 where it is not a palette).
Result<Palette> load_palette(const std::string& path, const InputPlace& place = {});

}  // namespace mendtone::app
