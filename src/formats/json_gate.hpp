#pragma once
#include <cstddef>
#include <cstdint>
#include <limits>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>

#include "mendtone/base/result.hpp"

// The one gate for JSON text, whether it comes from outside, from the record or from ourselves: no
// other file calls a JSON parser. What has passed is at most `depth` levels deep, so that whatever
// walks, compares or writes it by recursion is safe.
namespace mendtone {

struct JsonLimits {
  std::size_t depth = 64;
  std::size_t bytes = std::size_t{256} << 20;
  /// About what its values would take in memory; a list of empty lists takes twenty times its text.
  std::size_t memory = std::size_t{512} << 20;
  /// In one object: each name is looked for among those before it.
  std::size_t names = 1000;
};

/// The values of one JSON text (RFC 8259). Refuses what is no JSON, is beyond the limits, or gives
/// one name twice in an object; says line and column, what was expected and what was found. Limits
/// are checked before the text is parsed. Never throws for what the text holds. `name` is the
/// file's or the field's, for messages.
template <class Json = nlohmann::ordered_json>
Result<Json> json_from(std::string_view text, std::string_view name = {}, const JsonLimits& = {});

/// What this program has just written, taken apart again: only the depth is limited. A text of
/// another's breaks the contract.
nlohmann::ordered_json json_of_ours(std::string_view text);

extern template Result<nlohmann::ordered_json> json_from(std::string_view, std::string_view,
                                                         const JsonLimits&);
extern template Result<nlohmann::json> json_from(std::string_view, std::string_view,
                                                 const JsonLimits&);

// What a value holds. None of these throws or asserts, whatever the value is.

/// The member of that name; a null value where `object` is no object or has none.
template <class Json>
const Json& json_member(const Json& object, std::string_view name) {
  static const Json nothing;
  if (!object.is_object()) return nothing;
  const auto found = object.find(std::string(name));
  return found == object.end() ? nothing : *found;
}

template <class Json>
std::optional<double> json_number(const Json& value) {
  return value.is_number() ? std::optional(value.template get<double>()) : std::nullopt;
}

/// A whole number from `least` to `most`; written 3, not 3.0.
template <class Json>
std::optional<std::int64_t> json_whole(
    const Json& value, std::int64_t least = std::numeric_limits<std::int64_t>::min(),
    std::int64_t most = std::numeric_limits<std::int64_t>::max()) {
  if (!value.is_number_integer()) return std::nullopt;
  // One above the largest of int64 is kept apart by the library as unsigned.
  if (value.is_number_unsigned() &&
      value.template get<std::uint64_t>() >
          static_cast<std::uint64_t>(std::numeric_limits<std::int64_t>::max()))
    return std::nullopt;
  const auto whole = value.template get<std::int64_t>();
  return whole >= least && whole <= most ? std::optional(whole) : std::nullopt;
}

template <class Json>
std::optional<std::string> json_text(const Json& value) {
  return value.is_string() ? std::optional(value.template get<std::string>()) : std::nullopt;
}

template <class Json>
bool json_true(const Json& value) {
  return value.is_boolean() && value.template get<bool>();
}

}  // namespace mendtone
