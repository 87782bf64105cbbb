#pragma once
#include "app/inputs/json.hpp"
#include "mendtone/base/result.hpp"
#include "mendtone/materials/palette.hpp"

namespace mendtone::app {

/// Appends all of the palette's fields to `json`; numbers in shortest form.
void put_palette(Json& json, const Palette& palette);

/// The palette in a document made by `put_palette`. Refusals name the JSON pointer. A band's
/// number that is missing, not finite or negative where it must not be is refused.
Result<Palette> palette_in(const Json& json);

}  // namespace mendtone::app
