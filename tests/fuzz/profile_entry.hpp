#pragma once
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string_view>

#include "mendtone/adapters/icc.hpp"

namespace mendtone::fuzz {

/// Any bytes at all: the gate refuses them with a reason, or their profile gives colours that are
/// numbers, and codes that lead back. The replay test and the fuzzer share it.
inline int feed_profile(std::string_view bytes) {
  const auto demand = [](bool holds, const char* what) {
    if (holds) return;
    std::fprintf(stderr, "broken promise: %s\n", what);
    std::abort();
  };
  for (const int channels : {1, 3}) {
    const auto profile = open_profile(bytes, channels);
    if (!profile) {
      demand(!profile.error().message.empty(), "a refusal says why");
      continue;
    }
    const std::uint16_t codes[12] = {0, 0, 0, 30000, 65535, 500, 65535, 65535, 65535, 9, 8, 7};
    float L[4], a[4], b[4];
    profile->transform->to_lab({codes, nullptr, 4, channels}, L, a, b);
    for (int i = 0; i < 4; ++i)
      demand(std::isfinite(L[i]) && std::isfinite(a[i]) && std::isfinite(b[i]),
             "colours are numbers");
    if (!profile->transform->writable()) continue;
    std::uint16_t back[12];
    demand(profile->transform->from_lab(L, a, b, 4, back) <= 4, "at most all are out of gamut");
  }
  return 0;
}

}  // namespace mendtone::fuzz
