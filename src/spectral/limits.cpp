#include "mendtone/spectral/limits.hpp"

#include <algorithm>

#include "mendtone/base/numbers.hpp"
#include "mendtone/base/words.hpp"

namespace mendtone {
namespace {

bool is_control(std::string_view sequence, bool lines) {
  const auto first = static_cast<unsigned char>(sequence.front());
  if (lines && (first == '\n' || first == '\t' || first == '\r')) return false;
  if (first < 0x20 || first == 0x7F) return true;
  return first == 0xC2 && static_cast<unsigned char>(sequence[1]) < 0xA0;  // C1
}

}  // namespace

std::string fault_of_lab(double L, double a, double b) {
  const auto out = [](const char* name, double value, double least, double most) {
    return std::string(name) + " must be from " + shortest(least) + " to " + shortest(most) +
           "; found " + shortest(value);
  };
  if (!(L >= lowest_L && L <= highest_L)) return out("L*", L, lowest_L, highest_L);
  if (!(a >= -highest_ab && a <= highest_ab)) return out("a*", a, -highest_ab, highest_ab);
  if (!(b >= -highest_ab && b <= highest_ab)) return out("b*", b, -highest_ab, highest_ab);
  return {};
}

std::string fault_of_text(std::string_view text, bool lines) {
  for (std::size_t i = 0; i < text.size();) {
    const std::size_t length = utf8_length(text.substr(i));
    if (length == 0) return "is not UTF-8 text (byte " + std::to_string(i + 1) + ")";
    if (is_control(text.substr(i, length), lines))
      return "holds a control character (byte " + std::to_string(i + 1) + ")";
    i += length;
  }
  const bool blank = std::all_of(text.begin(), text.end(),
                                 [](char c) { return c == ' ' || c == '\n' || c == '\t'; });
  return blank ? "is blank" : "";
}

}  // namespace mendtone
