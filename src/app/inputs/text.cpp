#include "app/inputs/text.hpp"

#include <algorithm>

#include "app/inputs/exact_csv.hpp"
#include "mendtone/base/csv.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::app {

std::string line_of(const Warning& warning) {
  return warning.where.empty() ? warning.text : warning.where + ": " + warning.text;
}

std::string in_words(LoadUnit unit) {
  if (unit == LoadUnit::g_m2) return "g/m2";
  if (unit == LoadUnit::ml_m2) return "ml/m2";
  return "relative";
}

std::string text_of(const Lab& lab) {
  return "L* " + fixed(lab.L, 2) + "  a* " + fixed_signed(lab.a, 2) + "  b* " +
         fixed_signed(lab.b, 2);
}

std::vector<std::string> lines_of(const std::vector<Warning>& warnings) {
  std::vector<std::string> lines;
  for (const Warning& warning : warnings) lines.push_back(line_of(warning));
  return lines;
}

std::string exact_csv_line(const std::vector<std::string>& cells) {
  std::string line;
  for (std::size_t i = 0; i < cells.size(); ++i) line += (i > 0 ? "," : "") + csv_cell(cells[i]);
  return line + "\n";
}

namespace {

/// Characters, not bytes: names may hold accents.
std::size_t length(std::string_view text) {
  const auto continuation = [](char c) { return (static_cast<unsigned char>(c) & 0xC0) == 0x80; };
  return text.size() -
         static_cast<std::size_t>(std::count_if(text.begin(), text.end(), continuation));
}

}  // namespace

std::string trimmed(std::string_view text, std::string_view blanks) {
  const std::size_t from = text.find_first_not_of(blanks);
  if (from == std::string_view::npos) return {};
  return std::string(text.substr(from, text.find_last_not_of(blanks) - from + 1));
}

std::string padded(std::string_view text, std::size_t width) {
  const std::size_t characters = length(text);
  return std::string(text) + std::string(width > characters ? width - characters : 0, ' ');
}

std::string wrapped(std::string_view text, std::size_t indent, std::size_t width) {
  std::string all;
  std::size_t column = 0;
  std::size_t from = std::min(text.find_first_not_of(' '), text.size());
  all.append(from, ' ');
  column = from;
  bool first_of_line = true;
  while (from < text.size()) {
    const std::size_t to = std::min(text.find(' ', from), text.size());
    const std::string_view word = text.substr(from, to - from);
    if (!first_of_line && column + 1 + length(word) > width) {
      all += '\n';
      all.append(indent, ' ');
      column = indent;
      first_of_line = true;
    }
    if (!first_of_line) {
      all += ' ';
      ++column;
    }
    all += word;
    column += length(word);
    first_of_line = false;
    from = to < text.size() ? to + 1 : to;
  }
  return all + '\n';
}

}  // namespace mendtone::app
