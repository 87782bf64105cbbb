#include "mendtone/formats/read.hpp"

#include "formats/raw.hpp"
#include "formats/sniff.hpp"

namespace mendtone {
namespace {

using namespace formats;

Result<RawFile> read_raw(std::string_view text, std::string_view file, const ReadOptions& options) {
  switch (kind_of(text)) {
    case Kind::cgats:
      return read_cgats(text, file);
    case Kind::cxf:
      return read_cxf(text, file);
    case Kind::jcamp:
      return read_jcamp(text, file);
    case Kind::tm27:
      return read_tm27(text, file);
    case Kind::csv:
      break;
  }
  return read_csv(text, file, options);
}

}  // namespace

Result<ReadFile> read_readings(std::string_view bytes, std::string_view file_name,
                               const ReadOptions& options) {
  auto decoded = MENDTONE_TRY(decode(bytes, file_name));
  auto raw = MENDTONE_TRY(read_raw(decoded.text(), file_name, options));
  if (!decoded.said.empty()) raw.warn(decoded.said, std::string(file_name));
  return finish(std::move(raw), file_name, options);
}

}  // namespace mendtone
