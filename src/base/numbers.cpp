#include "mendtone/base/numbers.hpp"

#include <algorithm>
#include <cassert>
#include <charconv>
#include <cmath>

namespace mendtone {

std::optional<double> parse_number(std::string_view text, char decimal_sign) {
  std::string with_points;
  if (decimal_sign != '.') {
    if (text.find('.') != std::string_view::npos) return std::nullopt;
    with_points = text;
    std::replace(with_points.begin(), with_points.end(), decimal_sign, '.');
    text = with_points;
  }
  const char* first = text.data();
  const char* last = first + text.size();
  if (first != last && *first == '+') {
    ++first;
    if (first != last && *first == '-') return std::nullopt;
  }
  double value = 0;
  const auto [end, fault] = std::from_chars(first, last, value);
  if (fault != std::errc() || end != last || !std::isfinite(value)) return std::nullopt;
  return value;
}

std::string shortest(double value) {
  assert(std::isfinite(value));
  char buffer[32];
  const auto [end, fault] = std::to_chars(buffer, buffer + sizeof buffer, value);
  assert(fault == std::errc());
  return std::string(buffer, end);
}

std::string fixed(double value, int decimals) {
  assert(std::isfinite(value));
  char buffer[400];
  const auto [end, fault] =
      std::to_chars(buffer, buffer + sizeof buffer, value, std::chars_format::fixed, decimals);
  assert(fault == std::errc());
  std::string text(buffer, end);
  const bool is_zero = text.find_first_of("123456789") == std::string::npos;
  return is_zero && text.front() == '-' ? text.substr(1) : text;
}

std::string fixed_signed(double value, int decimals) {
  std::string text = fixed(value, decimals);
  const bool is_zero = text.find_first_of("123456789") == std::string::npos;
  return is_zero || text.front() == '-' ? text : "+" + text;
}

}  // namespace mendtone
