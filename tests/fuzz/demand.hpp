#pragma once
#include <cstdio>
#include <cstdlib>

namespace mendtone::fuzz {

/// Aborts where a promise is broken, so that fuzzer and replay test both see it.
inline void demand(bool holds, const char* what) {
  if (holds) return;
  std::fprintf(stderr, "broken promise: %s\n", what);
  std::abort();
}

}  // namespace mendtone::fuzz
