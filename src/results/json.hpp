#pragma once
#include <nlohmann/json.hpp>

#include "mendtone/results/walk.hpp"

namespace mendtone::results {

/// Fields keep the order in which they are listed.
using Json = nlohmann::ordered_json;

Json to_value(const Type& type, const void* value);
/// As from_json, of what was parsed.
Result<void> from_value(const Type& type, const Json& json, const std::string& name,
                        Reading reading, void* into);

template <class T>
Json value_json(const T& value) {
  return to_value(type_of<T>(), &value);
}

}  // namespace mendtone::results
