#pragma once
#include "app/inputs/json.hpp"
#include "mendtone/app/image/image.hpp"

namespace mendtone::app {

Json to_json_value(const PhotoStatement& photo);
/// Two or three lines, and its warnings.
std::string to_text(const PhotoStatement& photo, const std::string& heading);

/// "light": "D50", "observer": 2, "intent": …
void add_conditions(Json& json);

}  // namespace mendtone::app
