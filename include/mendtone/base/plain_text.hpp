#pragma once
#include <string>
#include <string_view>

namespace mendtone {

/// Latin letters small, all else as it was.
std::string small_letters(std::string_view text);

/// Where `word` stands in `text` as a whole word, from `from` on, in any case; npos: nowhere.
/// `text` is in small letters already.
std::size_t find_whole_word(std::string_view small_text, std::string_view word,
                            std::size_t from = 0);

}  // namespace mendtone
