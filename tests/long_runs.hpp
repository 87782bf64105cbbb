#pragma once
#include <cstddef>
#include <cstdlib>

namespace mendtone::test {

/// The full count where MENDTONE_LONG is set to something, else the short one.
inline std::size_t count(std::size_t full, std::size_t brief) {
  const char* asked = std::getenv("MENDTONE_LONG");
  return asked && *asked ? full : brief;
}

}  // namespace mendtone::test
