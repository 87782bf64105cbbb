#include "formats/text.hpp"

#include <algorithm>

#include "mendtone/base/numbers.hpp"
#include "mendtone/spectral/places.hpp"

namespace mendtone::formats {
namespace {

constexpr std::string_view no_break_space = "\xC2\xA0";

char small(char c) {
  return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

bool is_blank(char c) {
  return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}

}  // namespace

std::string_view trim(std::string_view text) {
  for (;;) {
    if (!text.empty() && is_blank(text.front()))
      text.remove_prefix(1);
    else if (!text.empty() && is_blank(text.back()))
      text.remove_suffix(1);
    else if (text.starts_with(no_break_space))
      text.remove_prefix(2);
    else if (text.ends_with(no_break_space))
      text.remove_suffix(2);
    else
      return text;
  }
}

std::string lower(std::string_view text) {
  std::string result(text);
  for (char& c : result) c = small(c);
  return result;
}

std::string squeezed(std::string_view text) {
  std::string result;
  for (char c : text) {
    c = small(c);
    if ((c >= 'a' && c <= 'z') || (c >= '0' && c <= '9')) result += c;
  }
  return result;
}

bool same_word(std::string_view a, std::string_view b) {
  return a.size() == b.size() && std::equal(a.begin(), a.end(), b.begin(),
                                            [](char x, char y) { return small(x) == small(y); });
}

bool is_one_of(std::string_view text, std::initializer_list<std::string_view> words) {
  return std::any_of(words.begin(), words.end(),
                     [&](std::string_view word) { return same_word(text, word); });
}

bool holds(std::string_view text, std::string_view word) {
  const auto same = [](char x, char y) { return small(x) == small(y); };
  return std::search(text.begin(), text.end(), word.begin(), word.end(), same) != text.end();
}

std::string quoted(std::string_view text) {
  constexpr std::size_t most = 40;
  std::string shown(text.substr(0, most));
  // A UTF-8 character is not to be cut in two.
  if (text.size() > most)
    while (!shown.empty() && (static_cast<unsigned char>(text[shown.size()]) & 0xC0) == 0x80)
      shown.pop_back();
  for (char& c : shown)
    if (static_cast<unsigned char>(c) < 0x20 || c == 0x7F) c = '?';
  return "'" + shown + (text.size() > most ? "…'" : "'");
}

std::string_view take_line(std::string_view& rest) {
  const auto at =
      std::find_if(rest.begin(), rest.end(), [](char c) { return c == '\r' || c == '\n'; });
  const auto end = static_cast<std::size_t>(at - rest.begin());
  const std::string_view line = rest.substr(0, end);
  if (at == rest.end())
    rest = {};
  else
    rest.remove_prefix(end + (rest.substr(end).starts_with("\r\n") ? 2 : 1));
  return line;
}

std::vector<Line> lines_of(std::string_view text) {
  std::vector<Line> lines;
  while (!text.empty()) {
    const std::string_view line = take_line(text);
    lines.push_back({line, lines.size() + 1});
  }
  return lines;
}

std::string place(std::string_view file, std::size_t line, std::size_t column) {
  return place_in(file, line, column);
}

std::optional<double> number_in(std::string_view text, char decimal_sign) {
  text = trim(text);
  if (text.empty() || text.size() > 60) return std::nullopt;
  const auto is_d = [](char c) { return c == 'D' || c == 'd'; };
  if (std::none_of(text.begin(), text.end(), is_d)) return parse_number(text, decimal_sign);
  std::string copy(text);
  std::replace_if(copy.begin(), copy.end(), is_d, 'e');  // Fortran's exponent
  return parse_number(copy, decimal_sign);
}

bool DecimalSign::look_at(std::string_view text) {
  const bool comma = text.find(',') != std::string_view::npos;
  const bool point = text.find('.') != std::string_view::npos;
  if (!number_in(text, comma ? ',' : '.')) return false;
  if (comma) ++commas_;
  if (point) ++points_;
  return true;
}

std::string listed(const std::vector<std::string>& names, std::size_t most) {
  std::string text;
  const std::size_t shown = std::min(names.size(), most);
  for (std::size_t i = 0; i < shown; ++i) {
    if (i > 0) text += i + 1 == names.size() ? " and " : ", ";
    text += names[i];
  }
  if (names.size() > shown) text += " and " + std::to_string(names.size() - shown) + " more";
  return text;
}

std::string nm_range(double first, double last) {
  return shortest(first) + "-" + shortest(last) + " nm";
}

}  // namespace mendtone::formats
