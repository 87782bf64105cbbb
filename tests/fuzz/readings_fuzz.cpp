#include "fuzz/entry.hpp"

// The whole way in: encodings, the guess of the format, and every reader behind it.
extern "C" int LLVMFuzzerTestOneInput(const unsigned char* data, std::size_t size) {
  return mendtone::fuzz::feed("", {reinterpret_cast<const char*>(data), size});
}
