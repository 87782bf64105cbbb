#include "mendtone/base/table.hpp"

#include <cassert>

#include "mendtone/base/numbers.hpp"
#include "mendtone/base/reference_data.hpp"

namespace mendtone {
namespace {

std::vector<std::string_view> split(std::string_view text, char at) {
  std::vector<std::string_view> parts;
  for (std::size_t from = 0;;) {
    const std::size_t to = text.find(at, from);
    parts.push_back(text.substr(from, to - from));
    if (to == std::string_view::npos) return parts;
    from = to + 1;
  }
}

std::string place(std::string_view name, std::size_t line, std::size_t column) {
  return std::string(name) + ", line " + std::to_string(line) + ", column " +
         std::to_string(column);
}

}  // namespace

const std::vector<double>* NumberTable::find(std::string_view name) const {
  for (std::size_t i = 0; i < heading.size(); ++i)
    if (heading[i] == name) return &column[i];
  return nullptr;
}

Result<NumberTable> parse_number_table(std::string_view text, std::string_view name) {
  NumberTable table;
  std::size_t line_number = 0;
  for (std::string_view line : split(text, '\n')) {
    ++line_number;
    if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
    if (line.empty() || line.front() == '#') continue;
    const auto cells = split(line, ',');
    if (table.heading.empty()) {
      table.heading.assign(cells.begin(), cells.end());
      table.column.resize(cells.size());
      continue;
    }
    if (cells.size() != table.heading.size())
      return bad_input("expected " + std::to_string(table.heading.size()) + " values, found " +
                           std::to_string(cells.size()),
                       place(name, line_number, 1));
    for (std::size_t i = 0; i < cells.size(); ++i) {
      const auto value = parse_number(cells[i]);
      if (!value)
        return bad_input("expected a number, found '" + std::string(cells[i]) + "'",
                         place(name, line_number, i + 1));
      table.column[i].push_back(*value);
    }
  }
  if (table.heading.empty()) return bad_input("the table is empty", std::string(name));
  return table;
}

NumberTable reference_numbers(std::string_view file_name) {
  const auto text = reference_table(file_name);
  assert(text);
  auto table = parse_number_table(*text, file_name);
  assert(table);
  return *std::move(table);
}

}  // namespace mendtone
