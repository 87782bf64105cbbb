#include "formats/raw.hpp"

namespace mendtone::formats {

Result<RawFile> read_cxf(std::string_view, std::string_view file) {
  return bad_input("CxF is not read yet", std::string(file));
}
Result<RawFile> read_jcamp(std::string_view, std::string_view file) {
  return bad_input("JCAMP-DX is not read yet", std::string(file));
}

}  // namespace mendtone::formats
