#include "fuzz/lamp_entry.hpp"

extern "C" int LLVMFuzzerTestOneInput(const unsigned char* data, std::size_t size) {
  return mendtone::fuzz::feed_lamp({reinterpret_cast<const char*>(data), size});
}
