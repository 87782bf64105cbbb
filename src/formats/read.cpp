#include "mendtone/formats/read.hpp"

namespace mendtone {

Result<ReadFile> read_readings(std::string_view, std::string_view file_name, const ReadOptions&) {
  return bad_input("no format was recognised", std::string(file_name));
}

}  // namespace mendtone
