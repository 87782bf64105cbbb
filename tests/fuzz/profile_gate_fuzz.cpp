#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "mendtone/adapters/icc.hpp"

/// Any bytes at all: the gate refuses them, or their profile gives colours that are numbers.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);
  for (const int channels : {1, 3}) {
    const auto profile = mendtone::open_profile(bytes, channels);
    if (!profile) continue;
    const std::uint16_t codes[6] = {0, 30000, 65535, 65535, 65535, 65535};
    float L[2], a[2], b[2];
    profile->transform->to_lab({codes, nullptr, 2, channels}, L, a, b);
    for (int i = 0; i < 2; ++i)
      if (!std::isfinite(L[i])) std::abort();
  }
  return 0;
}
