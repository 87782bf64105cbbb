#pragma once
#include <string>
#include <string_view>
#include <vector>

namespace mendtone {

/// "a; b": the parts that hold something, with `between` between them.
std::string joined(const std::vector<std::string>& parts, std::string_view between = "; ");

/// "a, b and c".
std::string listed(const std::vector<std::string>& items);

/// `count` and the word that goes with it: "1 reading", "3 readings".
std::string counted(std::size_t count, std::string_view one, std::string_view many);

/// The length of the UTF-8 character that `text` begins with (not empty), or 0 where it begins with
/// none. Ref: rfc3629
std::size_t utf8_length(std::string_view text);

}  // namespace mendtone
