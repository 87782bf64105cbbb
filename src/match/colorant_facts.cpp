#include "mendtone/match/colorant_facts.hpp"

#include <algorithm>

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

bool digits(std::string_view text, std::size_t least, std::size_t most) {
  return text.size() >= least && text.size() <= most &&
         std::all_of(text.begin(), text.end(), [](char c) { return c >= '0' && c <= '9'; });
}

/// A kind of dye or pigment, a hue, a number, and sometimes a form: PB15:3.
bool is_generic_name(std::string_view name) {
  constexpr std::string_view kinds = "PNSADVBF";
  if (name.empty() || kinds.find(name.front()) == std::string_view::npos) return false;
  name.remove_prefix(1);
  for (const std::string_view hue : {"Br", "Bk", "Y", "O", "R", "V", "B", "G", "W", "M"}) {
    if (!name.starts_with(hue)) continue;
    const std::string_view number = name.substr(hue.size());
    const std::size_t colon = number.find(':');
    return digits(number.substr(0, colon), 1, 3) &&
           (colon == std::string_view::npos || digits(number.substr(colon + 1), 1, 2));
  }
  return false;
}

bool is_index(std::string_view name) {
  return is_generic_name(name) || digits(name, 5, 6) ||
         (name.size() > 6 && digits(name.substr(0, 5), 5, 5) && name[5] == ':' &&
          digits(name.substr(6), 1, 2));
}

}  // namespace

std::string fault_of_colour_index(std::string_view text) {
  std::size_t found = 0;
  for (std::size_t from = 0; from < text.size();) {
    const std::size_t start = text.find_first_not_of(", +/", from);
    if (start == std::string_view::npos) break;
    const std::size_t end = std::min(text.find_first_of(", +/", start), text.size());
    const std::string_view name = text.substr(start, end - start);
    from = end;
    if (name == "CI" || name == "C.I.") continue;
    ++found;
    if (!is_index(name))
      return "expected a Colour Index name such as PY43, PB15:3 or 77491, found '" +
             std::string(name) + "'";
  }
  return found > 0 ? "" : "expected a Colour Index name such as PY43, found none";
}

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
