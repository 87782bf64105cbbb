#pragma once
#include <unistd.h>

#include <string_view>
#include <vector>

namespace mendtone {

/// What a confined helper gets of this program's environment: only what loads libraries and what
/// sanitizers listen to. Ends with a null pointer; the texts are the environment's own.
inline std::vector<char*> helper_environment() {
  std::vector<char*> kept;
  for (char** one = environ; one && *one; ++one)
    for (const std::string_view start : {"LD_", "ASAN_", "UBSAN_", "LSAN_", "TSAN_"})
      if (std::string_view(*one).substr(0, start.size()) == start) kept.push_back(*one);
  kept.push_back(nullptr);
  return kept;
}

}  // namespace mendtone
