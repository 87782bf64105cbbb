#pragma once
#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <string_view>

#include "mendtone/formats/picture_gate.hpp"

namespace mendtone::fuzz {

inline FileBytes bytes_in(std::string_view bytes) {
  return {bytes.size(), [bytes](std::uint64_t offset, std::size_t count) {
            if (offset >= bytes.size()) return std::string();
            return std::string(bytes.substr(static_cast<std::size_t>(offset), count));
          }};
}

/// Any bytes at all: refused with a reason, or a head that keeps the gate's promises. The replay
/// test and the fuzzer share it.
inline int feed_picture_gate(std::string_view bytes) {
  const auto demand = [](bool holds, const char* what) {
    if (holds) return;
    std::fprintf(stderr, "broken promise: %s\n", what);
    std::abort();
  };
  const auto head = picture_head(bytes_in(bytes), "f");
  if (!head) {
    demand(!head.error().message.empty() && head.error().where == "f", "a refusal says why");
    demand(head.error().code == ErrorCode::bad_input, "a bad file is bad input");
    return 0;
  }
  demand(!head->pages.empty() && head->pages.size() <= 1000, "1 to 1000 pages");
  const double most = 1e6 * (head->in_stages ? most_megapixels_in_stages : most_megapixels);
  for (const ImageSize& size : head->pages)
    demand(size.width > 0 && size.height > 0 && std::max(size.width, size.height) <= 250000 &&
               static_cast<double>(size.width) * size.height <= most,
           "sizes are within the limits");
  demand(!name_of(head->format).empty() && ending_of(head->format).size() == 4, "it has a name");
  return 0;
}

}  // namespace mendtone::fuzz
