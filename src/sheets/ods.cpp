#include <algorithm>
#include <charconv>

#include "sheets/parts.hpp"
#include "sheets/read.hpp"

// OpenDocument 1.3 part 3, 9.1 (tables), 19.385 (office:value), 6.1 (text).
namespace mendtone::sheets {
namespace {

/// How often a row or a cell stands there; once where nothing is stated.
std::int64_t repeats(std::string_view text) {
  std::int64_t value = 1;
  const auto read = std::from_chars(text.data(), text.data() + text.size(), value);
  return read.ec == std::errc() && value >= 1 ? value : 1;
}

class ContentReader {
 public:
  explicit ContentReader(Rows& rows) : rows_(rows) {}

  void start(std::string_view element, const Attributes& a) {
    // Remarks and kept changes are no cells.
    if (skipped_ > 0 || element == "annotation" || element == "tracked-changes") {
      ++skipped_;
      return;
    }
    if (element == "table") {
      rows_.begin_sheet(a.at("name"));
      row_ = 0;
    } else if (element == "table-row") {
      row_repeats_ = repeats(a.at("number-rows-repeated"));
      column_ = 0;
      cells_.clear();
    } else if (element == "table-cell" || element == "covered-table-cell") {
      begin_cell(a);
    } else if (element == "p") {
      if (!text_.empty()) text_ += ' ';
      in_text_ = true;
    } else if (in_text_ && (element == "s" || element == "tab" || element == "line-break")) {
      text_ += ' ';
    }
  }

  void end(std::string_view element) {
    if (skipped_ > 0) {
      --skipped_;
      return;
    }
    if (element == "p")
      in_text_ = false;
    else if (element == "table-cell" || element == "covered-table-cell")
      end_cell();
    else if (element == "table-row")
      end_row();
  }

  void text(std::string_view text) {
    if (in_text_ && skipped_ == 0) text_ += text;
  }

 private:
  void begin_cell(const Attributes& a) {
    // Some programs state the type twice, for themselves once more.
    const std::string_view type = a.at("value-type", "calcext");
    column_repeats_ = repeats(a.at("number-columns-repeated"));
    value_.clear();
    text_.clear();
    if (type == "float" || type == "percentage" || type == "currency")
      value_ = a.at("value", "calcext");
    else if (type == "boolean")
      value_ = a.at("boolean-value") == "true" ? "TRUE" : "FALSE";
    else if (type == "date")
      value_ = a.at("date-value");
    else if (type == "string")
      value_ = a.at("string-value");
  }

  void end_cell() {
    const std::string& text = value_.empty() ? text_ : value_;
    if (!text.empty()) {
      if (column_ + column_repeats_ > most_columns)
        throw std::runtime_error("a cell lies outside any sheet");
      for (std::int64_t i = 0; i < column_repeats_; ++i) cells_.push_back({column_ + i, text});
    }
    column_ += column_repeats_;
  }

  void end_row() {
    if (!cells_.empty())
      for (std::int64_t i = 0; i < row_repeats_; ++i)
        for (const auto& [column, text] : cells_) rows_.put(row_ + i, column, text);
    row_ += row_repeats_;
  }

  Rows& rows_;
  std::int64_t row_ = 0, column_ = 0, row_repeats_ = 1, column_repeats_ = 1;
  std::vector<std::pair<std::int64_t, std::string>> cells_;
  std::string value_, text_;
  int skipped_ = 0;
  bool in_text_ = false;
};

}  // namespace

void read_ods(std::string_view bytes, Rows& rows) {
  const Parts parts(bytes);
  ContentReader reader(rows);
  walk(parts.part("content.xml"), reader);
}

}  // namespace mendtone::sheets
