#include "mendtone/base/csv.hpp"

#include "mendtone/base/numbers.hpp"

namespace mendtone {

std::string csv_cell(std::string_view text) {
  if (text.find_first_of(",\"\r\n") == std::string_view::npos) return std::string(text);
  std::string quoted = "\"";
  for (const char c : text) quoted.append(c == '"' ? 2 : 1, c);
  return quoted + '"';
}

std::string spreadsheet_cell(std::string_view text) {
  constexpr std::string_view opens_formula = "=+-@\t\r";
  const bool formula = !text.empty() &&
                       opens_formula.find(text.front()) != std::string_view::npos &&
                       !parse_number(text);
  return csv_cell(formula ? "'" + std::string(text) : std::string(text));
}

}  // namespace mendtone
