#include "sheets/write.hpp"

#include <xlsxwriter.h>

#include <algorithm>
#include <charconv>
#include <optional>
#include <vector>

namespace mendtone::sheets {
namespace {

// What Excel's sheets are called at most, in letters; libxlsxwriter refuses more.
constexpr std::size_t longest_name = 31;
constexpr std::size_t widest_column = 60;

/// The next line of `text`, taken off.
std::string_view take(std::string_view& text, char end) {
  const std::size_t at = std::min(text.find(end), text.size());
  const std::string_view line = text.substr(0, at);
  text.remove_prefix(std::min(at + 1, text.size()));
  return line;
}

/// Cells of one line; quotes are taken off.
std::vector<std::string> cells_in(std::string_view line) {
  std::vector<std::string> cells(1);
  bool inside = false;
  for (std::size_t i = 0; i < line.size(); ++i) {
    const char c = line[i];
    if (c == '"' && inside && i + 1 < line.size() && line[i + 1] == '"')
      cells.back() += line[++i];
    else if (c == '"')
      inside = !inside;
    else if (c == '\t' && !inside)
      cells.emplace_back();
    else
      cells.back() += c;
  }
  return cells;
}

/// A number that reads back as it is written; a name of digits that is none of those stays a name.
std::optional<double> number_in(const std::string& cell) {
  double value = 0;
  const char* const end = cell.data() + cell.size();
  const auto read = std::from_chars(cell.data(), end, value);
  if (cell.empty() || read.ec != std::errc() || read.ptr != end) return std::nullopt;
  const std::size_t first = cell.front() == '-' ? 1 : 0;
  const bool padded = cell.size() > first + 1 && cell[first] == '0' && cell[first + 1] != '.';
  const bool digit = first < cell.size() && cell[first] >= '0' && cell[first] <= '9';
  return digit && !padded ? std::optional(value) : std::nullopt;
}

/// A sheet's name as the format allows it.
std::string sheet_name(std::string_view name) {
  std::string allowed;
  for (const char c : name)
    allowed += std::string_view("[]:*?/\\'").find(c) == std::string_view::npos ? c : ' ';
  if (allowed.size() > longest_name) allowed.resize(longest_name);
  // A letter is not to be cut in two.
  while (!allowed.empty() && (static_cast<unsigned char>(allowed.back()) & 0xC0) == 0x80 &&
         name.size() > longest_name)
    allowed.pop_back();
  return allowed;
}

void write_sheet(lxw_workbook* book, lxw_format* bold, std::string_view name,
                 std::string_view rows) {
  lxw_worksheet* const sheet = workbook_add_worksheet(book, sheet_name(name).c_str());
  if (!sheet) return;
  std::vector<std::size_t> width;
  for (lxw_row_t row = 0; !rows.empty(); ++row) {
    const auto cells = cells_in(take(rows, '\n'));
    width.resize(std::max(width.size(), cells.size()));
    for (std::size_t j = 0; j < cells.size(); ++j) {
      const auto column = static_cast<lxw_col_t>(j);
      width[j] = std::max(width[j], std::min(cells[j].size() + 2, widest_column));
      if (const auto number = row > 0 ? number_in(cells[j]) : std::nullopt)
        worksheet_write_number(sheet, row, column, *number, nullptr);
      else if (!cells[j].empty())
        worksheet_write_string(sheet, row, column, cells[j].c_str(), row == 0 ? bold : nullptr);
    }
  }
  for (std::size_t j = 0; j < width.size(); ++j)
    worksheet_set_column(sheet, static_cast<lxw_col_t>(j), static_cast<lxw_col_t>(j),
                         static_cast<double>(width[j]), nullptr);
  worksheet_freeze_panes(sheet, 1, 0);
}

}  // namespace

std::string write_xlsx(std::string_view text, const char* file_name) {
  lxw_workbook* const book = workbook_new(file_name);
  if (!book) return "no memory";
  lxw_format* const bold = workbook_add_format(book);
  format_set_bold(bold);
  while (!text.empty()) {
    text.remove_prefix(text.front() == '\x1e' ? 1 : 0);
    std::string_view sheet = take(text, '\x1e');
    const std::string_view name = take(sheet, '\n');
    write_sheet(book, bold, name, sheet);
  }
  const lxw_error failed = workbook_close(book);
  return failed == LXW_NO_ERROR ? std::string() : std::string(lxw_strerror(failed));
}

}  // namespace mendtone::sheets
