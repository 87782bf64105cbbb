#include "mendtone/spectral/limits.hpp"

#include <algorithm>

#include "mendtone/base/numbers.hpp"

namespace mendtone {
namespace {

/// The length of the UTF-8 sequence that begins here, or 0 where there is none. Ref: rfc3629
std::size_t sequence_at(std::string_view text) {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  const unsigned char first = byte(0);
  if (first < 0x80) return 1;
  const std::size_t length = first >= 0xF0 ? 4 : first >= 0xE0 ? 3 : 2;
  if (first < 0xC2 || first > 0xF4 || text.size() < length) return 0;
  for (std::size_t i = 1; i < length; ++i)
    if ((byte(i) & 0xC0) != 0x80) return 0;
  if (first == 0xE0 && byte(1) < 0xA0) return 0;  // longer than it need be
  if (first == 0xED && byte(1) > 0x9F) return 0;  // half a surrogate pair
  if (first == 0xF0 && byte(1) < 0x90) return 0;
  if (first == 0xF4 && byte(1) > 0x8F) return 0;  // beyond U+10FFFF
  return length;
}

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
    const std::size_t length = sequence_at(text.substr(i));
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
