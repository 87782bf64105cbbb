#include "app/text.hpp"

#include <algorithm>

#include "mendtone/base/numbers.hpp"

namespace mendtone::app {

std::string line_of(const Warning& warning) {
  return warning.where.empty() ? warning.text : warning.where + ": " + warning.text;
}

std::string listed(const std::vector<std::string>& items) {
  std::string text;
  for (std::size_t i = 0; i < items.size(); ++i) {
    if (i > 0) text += i + 1 == items.size() ? " and " : ", ";
    text += items[i];
  }
  return text;
}

std::string counted(std::size_t count, std::string_view one, std::string_view many) {
  return std::to_string(count) + " " + std::string(count == 1 ? one : many);
}

std::string text_of(const Lab& lab) {
  return "L* " + fixed(lab.L, 2) + "  a* " + fixed_signed(lab.a, 2) + "  b* " +
         fixed_signed(lab.b, 2);
}

std::string csv_line(const std::vector<std::string>& cells) {
  std::string line;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    if (i > 0) line += ',';
    if (cells[i].find_first_of(",\"\r\n") == std::string::npos) {
      line += cells[i];
      continue;
    }
    line += '"';
    for (const char c : cells[i]) line.append(c == '"' ? 2 : 1, c);
    line += '"';
  }
  return line + "\n";
}

std::string padded(std::string_view text, std::size_t width) {
  const auto continuation = [](char c) { return (static_cast<unsigned char>(c) & 0xC0) == 0x80; };
  const auto characters =
      text.size() - static_cast<std::size_t>(std::count_if(text.begin(), text.end(), continuation));
  return std::string(text) + std::string(width > characters ? width - characters : 0, ' ');
}

}  // namespace mendtone::app
