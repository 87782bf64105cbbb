#include "fuzz/picture_gate_entry.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  return mendtone::fuzz::feed_picture_gate({reinterpret_cast<const char*>(data), size});
}
