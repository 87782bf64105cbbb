#pragma once
#include <array>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "formats/json_gate.hpp"
#include "mendtone/colour/lab.hpp"
#include "mendtone/spectral/reading.hpp"

// What every answer's JSON shares. Fields keep the order in which they are written.
namespace mendtone::app {

using Json = nlohmann::ordered_json;

/// {"schema": "mendtone.<verb>", "version": 1}: what every answer begins with.
Json document(std::string_view verb);

Json to_array(const Lab&);
Json to_array(const Lch&);
Json to_array(const Xyz&);
/// null where there is no number.
Json or_null(const std::optional<double>&);
/// One text a warning, its place first.
Json to_array(const std::vector<Warning>&);

/// As it is printed, indented by two; bytes that are not UTF-8 become U+FFFD.
std::string written(const Json& json);

}  // namespace mendtone::app
