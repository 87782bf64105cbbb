#pragma once
#include <optional>
#include <string>

#include "mendtone/app/inputs/inputs.hpp"
#include "mendtone/record/values.hpp"

namespace mendtone::app {

/// What the record says of the photograph of that name; nothing where it keeps none, or where a kept
/// result is computed again.
std::optional<record::Photograph> kept_photograph(const InputPlace& place, const std::string& name);

}  // namespace mendtone::app
