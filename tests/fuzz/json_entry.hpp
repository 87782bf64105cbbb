#pragma once
#include "formats/json_gate.hpp"
#include "fuzz/demand.hpp"

namespace mendtone::fuzz {

/// How many levels are in each other.
template <class Json>
std::size_t depth_of(const Json& json) {
  std::size_t deepest = 0;
  if (json.is_structured())
    for (const Json& part : json) deepest = std::max(deepest, depth_of(part));
  return json.is_structured() ? deepest + 1 : 0;
}

/// Any bytes at all: refused with a reason, or values within the limits that can be written and
/// come back. Both kinds of objects, sorted and as written, take the same texts.
inline int feed_json(std::string_view bytes) {
  JsonLimits limits;
  limits.memory = std::size_t{16} << 20;
  const auto json = json_from(bytes, "f", limits);
  demand(
      static_cast<bool>(json) == static_cast<bool>(json_from<nlohmann::json>(bytes, "f", limits)),
      "both kinds of objects take the same texts");
  if (!json) {
    demand(!json.error().message.empty() && !json.error().where.empty(),
           "a refusal says why, where");
    demand(json.error().code == ErrorCode::bad_input, "a bad text is bad input");
    return 0;
  }
  demand(depth_of(*json) <= limits.depth, "nothing is deeper than the limit");
  const std::string text = json->dump();
  const auto again = json_from(text, "again");
  demand(again && again->dump() == text, "values come back as they were");
  for (const auto& part : *json) {
    (void)json_number(part), (void)json_whole(part), (void)json_text(part), (void)json_true(part);
    (void)json_member(part, "a");
  }
  return 0;
}

}  // namespace mendtone::fuzz
