#pragma once
#include <string>
#include <vector>

namespace mendtone {

/// Up to five of `names` that look like `name`, the nearest first: one stands within the other, or
/// few letters have to be changed.
std::vector<std::string> near_names(const std::string& name, std::vector<std::string> names);

}  // namespace mendtone
