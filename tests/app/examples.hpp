#pragma once
#include <string>

namespace mendtone::test {

/// A file of the invented job of Kestrel Bay.
inline std::string example(const std::string& name) {
  return std::string(MENDTONE_SOURCE_DIR) + "/examples/kestrel-bay/" + name;
}

}  // namespace mendtone::test
