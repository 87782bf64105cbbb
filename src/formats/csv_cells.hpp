#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "mendtone/base/result.hpp"

namespace mendtone::formats {

/// One row of separated values; quotes are taken off, "" inside them is one quote.
struct CsvRow {
  std::vector<std::string> cells;
  std::size_t line = 0;

  bool blank() const;
};

/// Rows of a text, one at a time. A byte order mark is passed over. Lines that begin with '#' and
/// blank lines are passed over. The separator ' ' means any run of blanks.
class CsvRows {
 public:
  CsvRows(std::string_view text, char separator);

  /// False at the end, or where a quote is never closed or a row is endless: see `sound`.
  bool next(CsvRow& row);
  /// A refusal where a quote is never closed or a row is endless.
  Result<void> sound(std::string_view file) const;
  /// The first line that was passed over as a comment though it has cells like a row; 0: none.
  std::size_t row_like_comment() const { return row_like_comment_; }

 private:
  bool take_row(CsvRow& row);
  bool take_cell(std::string& cell);
  bool take_quoted(std::string& cell);
  void take_line_end();
  void skip_comments();

  std::string_view rest_;
  char separator_;
  std::size_t line_ = 1;
  std::size_t open_quote_line_ = 0, endless_line_ = 0, row_like_comment_ = 0;
};

}  // namespace mendtone::formats
