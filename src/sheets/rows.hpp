#pragma once
#include <cstdint>
#include <stdexcept>
#include <string>
#include <string_view>

namespace mendtone::sheets {

// Where the programs that write such files stop; a cell further out was made to do harm.
constexpr std::int64_t most_rows = 1048576, most_columns = 16384;
constexpr std::size_t most_cells = 12'000'000;

/// Writes cells as text in the order of rows and columns.
class Rows {
 public:
  void begin_sheet(std::string_view name) {
    end_sheet();
    out_ += '\x1e';
    for (const char c : name) out_ += static_cast<unsigned char>(c) < 0x20 ? ' ' : c;
    out_ += '\n';
    row_ = column_ = 0;
    blank_ = true;
  }

  /// Rows and columns count from 0.
  void put(std::int64_t row, std::int64_t column, std::string_view text) {
    if (text.empty()) return;
    if (row < 0 || column < 0 || row >= most_rows || column >= most_columns)
      throw std::runtime_error("a cell lies outside any sheet");
    if (++cells_ > most_cells) throw std::runtime_error("it has more than 12 million cells");
    if (row < row_ || (row == row_ && (column < column_ || (column == column_ && !blank_))))
      throw std::runtime_error("its cells are not in order");
    if (row > row_) {
      out_.append(static_cast<std::size_t>(row - row_), '\n');
      row_ = row;
      column_ = 0;
    }
    out_.append(static_cast<std::size_t>(column - column_), '\t');
    column_ = column;
    blank_ = false;
    write(text);
  }

  std::string take() {
    end_sheet();
    return std::move(out_);
  }

 private:
  void end_sheet() {
    if (!out_.empty() && out_.back() != '\n') out_ += '\n';
  }

  /// A cell's line breaks would end its row; its quotes are doubled.
  void write(std::string_view text) {
    if (text.find_first_of(odd_) == text.npos && text.front() != ' ' && text.back() != ' ') {
      out_ += text;
      return;
    }
    out_ += '"';
    for (const char c : text) {
      if (c == '"') out_ += '"';
      out_ += static_cast<unsigned char>(c) < 0x20 ? ' ' : c;
    }
    out_ += '"';
  }

  // '#' opens a comment where it begins a line of CSV.
  static constexpr std::string_view odd_{
      "\"#\x01\x02\x03\x04\x05\x06\x07\x08\t\n\x0b\x0c\r\x0e\x0f\x10\x11\x12\x13\x14\x15\x16\x17"
      "\x18\x19\x1a\x1b\x1c\x1d\x1e\x1f"};

  std::string out_;
  std::int64_t row_ = 0, column_ = 0;
  bool blank_ = true;
  std::size_t cells_ = 0;
};

}  // namespace mendtone::sheets
