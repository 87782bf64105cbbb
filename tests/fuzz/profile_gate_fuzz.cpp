#include "fuzz/profile_entry.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  return mendtone::fuzz::feed_profile({reinterpret_cast<const char*>(data), size});
}
