#include "mendtone/match/colorant_facts.hpp"

#include "mendtone/base/reference_data.hpp"

namespace mendtone {
namespace {

/// The cells of one line; a quoted cell may hold commas.
std::vector<std::string> cells_of(std::string_view line) {
  std::vector<std::string> cells(1);
  bool quoted = false;
  for (char c : line) {
    if (c == '"')
      quoted = !quoted;
    else if (c == ',' && !quoted)
      cells.emplace_back();
    else
      cells.back() += c;
  }
  return cells;
}

}  // namespace

std::vector<ColorantFact> colorant_facts() {
  std::vector<ColorantFact> facts;
  std::string_view text = *reference_table("colorant-facts.csv");
  while (!text.empty()) {
    const std::size_t end = text.find('\n');
    const std::string_view line = text.substr(0, end);
    text = end == std::string_view::npos ? std::string_view() : text.substr(end + 1);
    if (line.empty() || line.front() == '#' || line.starts_with("colour_index,")) continue;
    const std::vector<std::string> cell = cells_of(line);
    if (cell.size() == 5) facts.push_back({cell[0], cell[1], cell[2], cell[3], cell[4]});
  }
  return facts;
}

std::optional<ColorantFact> colorant_fact(std::string_view colour_index) {
  for (const ColorantFact& fact : colorant_facts())
    if (fact.colour_index == colour_index) return fact;
  return std::nullopt;
}

}  // namespace mendtone
