#pragma once
#include <string>
#include <string_view>
#include <vector>

namespace mendtone {

/// The rows of a comma-separated text after its heading line: '#' lines and empty ones are skipped,
/// a quoted cell may hold commas and doubled quotes, and every row has as many cells as the heading
/// (what is missing is empty, what is too much is left out).
std::vector<std::vector<std::string>> text_rows(std::string_view text);

/// "a|b" as its parts, none of them empty.
std::vector<std::string> parted_words(std::string_view text, char at = '|');

}  // namespace mendtone
