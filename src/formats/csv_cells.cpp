#include "formats/csv_cells.hpp"

#include <algorithm>

#include "formats/text.hpp"

namespace mendtone::formats {
namespace {

constexpr std::size_t most_cells = 20000;

}  // namespace

bool CsvRow::blank() const {
  return std::all_of(cells.begin(), cells.end(),
                     [](const std::string& cell) { return trim(cell).empty(); });
}

CsvRows::CsvRows(std::string_view text, char separator) : rest_(text), separator_(separator) {
  if (rest_.starts_with("\xEF\xBB\xBF")) rest_.remove_prefix(3);
}

void CsvRows::take_line_end() {
  if (rest_.empty()) return;
  rest_.remove_prefix(rest_.starts_with("\r\n") ? 2 : 1);
  ++line_;
}

void CsvRows::skip_comments() {
  while (rest_.starts_with('#')) {
    const std::string_view comment = take_line(rest_);
    if (row_like_comment_ == 0 && std::count(comment.begin(), comment.end(), separator_) >= 5 &&
        separator_ != ' ')
      row_like_comment_ = line_;
    ++line_;
  }
}

bool CsvRows::take_quoted(std::string& cell) {
  const std::size_t opened = line_;
  rest_.remove_prefix(1);
  while (!rest_.empty()) {
    const char c = rest_.front();
    if (c == '"' && !rest_.starts_with("\"\"")) {
      rest_.remove_prefix(1);
      return true;
    }
    if (c == '\n' || (c == '\r' && !rest_.starts_with("\r\n"))) ++line_;
    cell += c;
    rest_.remove_prefix(c == '"' ? 2 : 1);
  }
  open_quote_line_ = opened;
  return false;
}

/// Takes one cell and the separator after it; true while more cells follow in the row.
bool CsvRows::take_cell(std::string& cell) {
  cell.clear();
  while (!rest_.empty() && rest_.front() == ' ') rest_.remove_prefix(1);
  if (rest_.starts_with('"') && !take_quoted(cell)) return false;
  const char other_end = separator_ == ' ' ? '\t' : separator_;
  std::size_t n = 0;
  while (n < rest_.size() && rest_[n] != '\r' && rest_[n] != '\n' && rest_[n] != separator_ &&
         rest_[n] != other_end)
    ++n;
  cell += rest_.substr(0, n);
  rest_.remove_prefix(n);
  if (separator_ == ' ')
    while (!rest_.empty() && (rest_.front() == ' ' || rest_.front() == '\t'))
      rest_.remove_prefix(1);
  else if (rest_.starts_with(separator_)) {
    rest_.remove_prefix(1);
    return true;
  }
  return separator_ == ' ' && !rest_.empty() && rest_.front() != '\r' && rest_.front() != '\n';
}

bool CsvRows::take_row(CsvRow& row) {
  row.line = line_;
  std::size_t count = 0;
  for (bool more = true; more;) {
    if (++count > row.cells.size()) row.cells.emplace_back();
    more = take_cell(row.cells[count - 1]);
    if (open_quote_line_ > 0) return false;
    if (count > most_cells) {
      endless_line_ = row.line;
      return false;
    }
  }
  row.cells.resize(count);
  take_line_end();
  return true;
}

Result<void> CsvRows::sound(std::string_view file) const {
  if (open_quote_line_ > 0)
    return bad_input("expected a closing quote, found the end of the file",
                     place(file, open_quote_line_));
  if (endless_line_ > 0)
    return bad_input(
        "expected a row of at most " + std::to_string(most_cells) + " cells, found more",
        place(file, endless_line_));
  return {};
}

bool CsvRows::next(CsvRow& row) {
  for (;;) {
    skip_comments();
    if (rest_.empty() || !take_row(row)) return false;
    if (!row.blank()) return true;
  }
}

}  // namespace mendtone::formats
