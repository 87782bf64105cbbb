#include "app/record/record_csv.hpp"

#include <algorithm>

#include "app/inputs/exact_csv.hpp"

namespace mendtone::app {
namespace {

using Line = std::vector<std::string>;

/// All lines; quoted cells may hold line breaks. False where a quote is never closed.
bool split_csv(std::string_view text, std::vector<Line>& lines) {
  Line line{""};
  bool quoted = false;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (quoted && c == '"' && i + 1 < text.size() && text[i + 1] == '"') {
      line.back() += '"';
      ++i;
    } else if (c == '"') {
      quoted = !quoted;
    } else if (!quoted && c == ',') {
      line.emplace_back();
    } else if (!quoted && c == '\n') {
      lines.push_back(std::move(line));
      line = {""};
    } else {
      line.back() += c;
    }
  }
  if (line.size() > 1 || !line.back().empty()) lines.push_back(std::move(line));
  return !quoted;
}

std::size_t position(const RecordTable& table, const std::string& name) {
  const auto at = std::find_if(table.columns.begin(), table.columns.end(),
                               [&](const record::Column& c) { return c.name == name; });
  return static_cast<std::size_t>(at - table.columns.begin());
}

}  // namespace

std::string table_to_csv(const RecordTable& table) {
  Line line;
  for (const record::Column& column : table.columns) line.push_back(column.name);
  std::string text = exact_csv_line(line);
  for (const auto& row : table.rows) {
    line.clear();
    for (const record::Cell& cell : row) line.push_back(record::text_of(cell));
    text += exact_csv_line(line);
  }
  return text;
}

Result<void> table_from_csv(std::string_view text, const std::string& file, RecordTable& table) {
  std::vector<Line> lines;
  if (!split_csv(text, lines)) return bad_input("a quoted cell is never closed", file);
  if (lines.empty()) return bad_input("there is no heading line", file);
  std::vector<std::size_t> places;
  for (const std::string& name : lines.front()) {
    places.push_back(position(table, name));
    if (places.back() == table.columns.size())
      return bad_input("a " + table.name + " has no column '" + name + "'", file);
  }
  for (std::size_t n = 1; n < lines.size(); ++n) {
    const std::string where = file + ", row " + std::to_string(n);
    if (lines[n].size() != places.size())
      return bad_input("expected " + std::to_string(places.size()) + " cells, found " +
                           std::to_string(lines[n].size()),
                       where);
    auto& row = table.rows.emplace_back(table.columns.size());
    for (std::size_t i = 0; i < places.size(); ++i) {
      auto cell = parse_cell(lines[n][i], table.columns[places[i]]);
      if (!cell) return bad_input(cell.error().message, where + ", " + cell.error().where);
      row[places[i]] = *std::move(cell);
    }
  }
  return {};
}

}  // namespace mendtone::app
