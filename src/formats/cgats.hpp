#pragma once
#include <cstdint>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "formats/raw.hpp"

namespace mendtone::formats {

/// A word of a CGATS file; quotes are off.
struct CgatsToken {
  std::string_view text;
  std::uint32_t line = 0, column = 0;  ///< 1-based; the column counts bytes
};

struct CgatsValue {
  std::string text;
  std::size_t line = 0;
};

/// One table: its header keys (upper case; a repeated key keeps all its values), field names and
/// rows of as many tokens as there are fields.
struct CgatsTable {
  std::string kind;  ///< the identifier before the header, such as "CGATS.17"; may be empty
  std::map<std::string, std::vector<CgatsValue>> header;
  std::vector<CgatsToken> fields;
  std::vector<std::vector<CgatsToken>> rows;
  std::size_t line = 0;  ///< where its data begin

  /// The last value of a key, or empty.
  std::string last(std::string_view key) const;
};

struct CgatsFile {
  std::vector<CgatsTable> tables;
  std::vector<Warning> warnings;
};

/// The file's structure. Refuses rows that do not fit their fields, with line and column.
Result<CgatsFile> parse_cgats(std::string_view text, std::string_view file);

}  // namespace mendtone::formats
