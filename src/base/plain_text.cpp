#include "mendtone/base/plain_text.hpp"

namespace mendtone {
namespace {

bool is_word_letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || static_cast<unsigned char>(c) >= 0x80;
}

}  // namespace

std::string small_letters(std::string_view text) {
  std::string small(text);
  for (char& c : small)
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  return small;
}

std::size_t find_whole_word(std::string_view text, std::string_view word, std::size_t from) {
  for (std::size_t at = text.find(word, from); at != std::string_view::npos && !word.empty();
       at = text.find(word, at + 1)) {
    const std::size_t end = at + word.size();
    // A plural is the word too.
    const std::size_t past = end < text.size() && text[end] == 's' ? end + 1 : end;
    if ((at == 0 || !is_word_letter(text[at - 1])) &&
        (past >= text.size() || !is_word_letter(text[past])))
      return at;
  }
  return std::string_view::npos;
}

}  // namespace mendtone
