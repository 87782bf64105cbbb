#pragma once
#include <optional>
#include <string>
#include <string_view>

#include "mendtone/base/result.hpp"

namespace mendtone::formats {

enum class Kind { csv, cgats, cxf, jcamp, tm27 };

/// What a text is, by its content.
Kind kind_of(std::string_view text);

/// Text as UTF-8 without a byte order mark, and what had to be done for it.
struct Decoded {
  std::string text;
  std::string said;  ///< empty: it was UTF-8
};

/// UTF-8, UTF-16 with a byte order mark, or Latin-1 (said). Refuses what is no text: says what it
/// looks like and what to do.
Result<Decoded> decode(std::string_view bytes, std::string_view file);

}  // namespace mendtone::formats
