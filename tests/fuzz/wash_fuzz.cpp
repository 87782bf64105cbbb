#include "fuzz/wash_entry.hpp"
#include "mendtone/app/inputs/inputs.hpp"

extern "C" int LLVMFuzzerTestOneInput(const unsigned char* data, std::size_t size) {
  return mendtone::fuzz::feed_wash({reinterpret_cast<const char*>(data), size});
}

// The one thing that these readers ask of the rooms below them; no file is opened here.
namespace mendtone::app {
Result<std::string> input_bytes(const std::string& name, const InputPlace&) {
  return bad_input("no files here", name);
}
}  // namespace mendtone::app
