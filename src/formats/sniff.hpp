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
  std::string_view given;           ///< the part of the bytes that is text already
  std::optional<std::string> made;  ///< where it had to be made from another encoding
  std::string said;                 ///< empty: it was UTF-8

  std::string_view text() const { return made ? std::string_view(*made) : given; }
};

/// UTF-8, UTF-16 with a byte order mark, or Latin-1 (said). `bytes` must stay. Refuses what is no
/// text: says what it looks like and what to do.
Result<Decoded> decode(std::string_view bytes, std::string_view file);

}  // namespace mendtone::formats
