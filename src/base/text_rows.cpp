#include "mendtone/base/text_rows.hpp"

namespace mendtone {
namespace {

std::vector<std::string> cells_of_row(std::string_view line) {
  std::vector<std::string> cells(1);
  bool quoted = false;
  for (std::size_t i = 0; i < line.size(); ++i) {
    const char c = line[i];
    if (c == '"' && quoted && i + 1 < line.size() && line[i + 1] == '"') {
      cells.back() += c;
      ++i;
    } else if (c == '"') {
      quoted = !quoted;
    } else if (c == ',' && !quoted) {
      cells.emplace_back();
    } else {
      cells.back() += c;
    }
  }
  return cells;
}

}  // namespace

std::vector<std::vector<std::string>> text_rows(std::string_view text) {
  std::vector<std::vector<std::string>> rows;
  std::size_t columns = 0;
  while (!text.empty()) {
    const std::size_t end = text.find('\n');
    std::string_view line = text.substr(0, end);
    text = end == std::string_view::npos ? std::string_view() : text.substr(end + 1);
    if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
    if (line.empty() || line.front() == '#') continue;
    std::vector<std::string> cells = cells_of_row(line);
    if (columns == 0) {
      columns = cells.size();
      continue;
    }
    cells.resize(columns);
    rows.push_back(std::move(cells));
  }
  return rows;
}

std::vector<std::string> parted_words(std::string_view text, char at) {
  std::vector<std::string> parts;
  while (!text.empty()) {
    const std::size_t end = text.find(at);
    if (end != 0) parts.emplace_back(text.substr(0, end));
    text = end == std::string_view::npos ? std::string_view() : text.substr(end + 1);
  }
  return parts;
}

}  // namespace mendtone
