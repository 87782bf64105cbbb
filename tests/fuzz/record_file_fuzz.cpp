#include "fuzz/record_file_entry.hpp"

extern "C" int LLVMFuzzerTestOneInput(const unsigned char* data, std::size_t size) {
  return mendtone::fuzz::feed_record_file({reinterpret_cast<const char*>(data), size});
}
