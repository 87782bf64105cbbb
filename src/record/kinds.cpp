#include "mendtone/record/kinds.hpp"

#include <algorithm>
#include <charconv>

#include "mendtone/base/numbers.hpp"
#include "mendtone/match/colorant_facts.hpp"
#include "mendtone/record/unreadable.hpp"
#include "mendtone/spectral/limits.hpp"
#include "record/cells.hpp"

namespace mendtone::record {
namespace {

std::string listed(const std::vector<std::string>& words) {
  std::string text;
  for (const std::string& word : words) text += (text.empty() ? "" : ", ") + word;
  return text;
}

bool fits(const Cell& cell, CellType type) {
  switch (type) {
    case CellType::whole:
      return std::holds_alternative<std::int64_t>(cell);
    case CellType::number:
      return std::holds_alternative<double>(cell) || std::holds_alternative<std::int64_t>(cell);
    case CellType::text:
      return std::holds_alternative<std::string>(cell);
  }
  return false;
}

std::optional<double> number_in(const Cell& cell) {
  if (const auto* whole = std::get_if<std::int64_t>(&cell)) return static_cast<double>(*whole);
  if (const auto* number = std::get_if<double>(&cell)) return *number;
  return std::nullopt;
}

/// Where a file lies is bytes; what a program wrote may hold any; all else somebody is to read.
std::string fault_of_words(const std::string& text, const Column& column, bool lines) {
  if (text.find('\0') != std::string::npos) return "holds a NUL character";
  if (column.name == "path" || column.name == "source_file" || column.form != CellForm::plain)
    return {};
  return fault_of_text(text, lines);
}

/// What is wrong with one cell; empty: nothing.
std::string fault(const Cell& cell, const Column& column, bool is_reading) {
  if (std::holds_alternative<std::monostate>(cell))
    return column.required ? column.name + " is needed (" + column.help + ")" : "";
  if (!fits(cell, column.type)) return column.name + " is not of the right type";
  if (const auto* text = std::get_if<std::string>(&cell)) {
    if (text->empty()) return column.name + " is an empty text (nothing is kept as nothing)";
    const std::string wrong = fault_of_words(*text, column, is_reading || column.name != "name");
    if (!wrong.empty()) return column.name + " " + wrong;
  }
  if (const auto number = number_in(cell); number && !column.limits.any()) {
    const Limits& limits = column.limits;
    if (!(*number >= limits.least && *number <= limits.most))
      return column.name + " must be " +
             (limits.most >= 1e6 ? "at least " + shortest(limits.least)
                                 : "from " + shortest(limits.least) + " to " +
                                       shortest(limits.most)) +
             "; found " + shortest(*number);
  }
  const std::string word = text_of(cell);
  if (!column.one_of.empty() &&
      std::find(column.one_of.begin(), column.one_of.end(), word) == column.one_of.end())
    return column.name + " must be one of " + listed(column.one_of) + "; found " + word;
  return {};
}

std::string fault_of_loads(const Cell& cell, const Column& column) {
  const auto* text = std::get_if<std::string>(&cell);
  if (!text || column.form != CellForm::loads) return {};
  const auto loads = loads_from_text(*text);
  if (!loads) return {};
  for (const auto& [name, load] : *loads)
    if (load < 0) return column.name + ": " + name + " must be at least 0; found " + shortest(load);
  return {};
}

/// What is wrong with the row as a whole; empty: nothing.
std::string fault_of_all(const Kind& kind, const Row& row) {
  if (kind.name == Colorant::kind) {
    const std::string index = text_of(row.cells[kind.position("colour_index")]);
    return index.empty() ? "" : fault_of_colour_index(index);
  }
  if (kind.name != Step::kind) return {};
  const std::string standing = text_of(row.cells[kind.position("standing")]);
  const bool settled = standing == "owed" || standing == "done";
  if (settled || !text_of(row.cells[kind.position("reason")]).empty()) return {};
  return "reason is needed: a step that is " + standing + " says why";
}

}  // namespace

std::size_t Kind::position(std::string_view column) const {
  const auto at = std::find_if(columns.begin(), columns.end(),
                               [&](const Column& c) { return c.name == column; });
  return static_cast<std::size_t>(at - columns.begin());
}

const Kind* find_kind(std::string_view name) {
  for (const Kind& kind : kinds())
    if (kind.name == name) return &kind;
  return nullptr;
}

Result<void> validate(const Row& row) {
  const Kind* kind = find_kind(row.kind);
  if (!kind) return bad_input("a record has no such kind of thing", row.kind);
  if (row.cells.size() != kind->columns.size())
    return bad_input("a " + row.kind + " has " + std::to_string(kind->columns.size()) +
                         " columns, found " + std::to_string(row.cells.size()),
                     row.kind);
  std::string faults;
  for (std::size_t i = 0; i < row.cells.size(); ++i) {
    // Instruments write tabs and line breaks into the names of their readings.
    std::string one = fault(row.cells[i], kind->columns[i],
                            row.kind == KeptReading::kind || row.kind == Mean::kind);
    if (one.empty()) one = fault_of_loads(row.cells[i], kind->columns[i]);
    if (!one.empty()) faults += (faults.empty() ? "" : "; ") + one;
  }
  if (faults.empty()) faults = fault_of_all(*kind, row);
  if (faults.empty()) return read_back(row);
  return bad_input(faults, row.kind);
}

Result<Cell> parse_cell(std::string_view text, const Column& column) {
  if (text.empty()) return Cell{};
  if (column.type == CellType::text) return Cell{std::string(text)};
  if (column.type == CellType::number) {
    if (const auto number = parse_number(text)) return Cell{*number};
    return bad_input("expected a number, found '" + std::string(text) + "'", column.name);
  }
  std::int64_t whole = 0;
  const char* const end = text.data() + text.size();
  const auto [next, fault_code] = std::from_chars(text.data(), end, whole);
  if (fault_code == std::errc{} && next == end) return Cell{whole};
  return bad_input("expected a whole number, found '" + std::string(text) + "'", column.name);
}

std::string text_of(const Cell& cell) {
  if (const auto* whole = std::get_if<std::int64_t>(&cell)) return std::to_string(*whole);
  if (const auto* number = std::get_if<double>(&cell)) return shortest(*number);
  if (const auto* text = std::get_if<std::string>(&cell)) return *text;
  return {};
}

}  // namespace mendtone::record
