#include <algorithm>
#include <cmath>

#include "formats/csv.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/spectral/places.hpp"

namespace mendtone {

std::size_t StatedBands::count() const {
  return static_cast<std::size_t>(std::lround((last_nm - first_nm) / step_nm)) + 1;
}

Result<StatedBands> stated_bands(std::string_view text) {
  constexpr double lowest_nm = 200, highest_nm = 3000, most = 1200;
  const auto refused = [&](const std::string& why) {
    return bad_request(why + ", found '" + std::string(text) + "'", "wavelengths");
  };
  const std::size_t dash = text.find('-'), colon = text.find(':');
  if (dash == text.npos || colon == text.npos || colon < dash)
    return refused("expected first-last:step in nm, such as 400-700:10");
  const auto first = parse_number(text.substr(0, dash)),
             last = parse_number(text.substr(dash + 1, colon - dash - 1)),
             step = parse_number(text.substr(colon + 1));
  if (!first || !last || !step || *step <= 0)
    return refused("expected first-last:step in nm, such as 400-700:10");
  if (*first < lowest_nm || *last > highest_nm || *last <= *first)
    return refused("expected wavelengths that rise within 200-3000 nm");
  const double steps = (*last - *first) / *step;
  if (steps > most - 1 || std::abs(steps - std::round(steps)) > 1e-6 || steps < 1)
    return refused("expected a step that leads from the first to the last in 2 to 1200 bands");
  return StatedBands{*first, *last, *step};
}

namespace formats {
namespace {

/// A line of values, perhaps with a name before them.
struct BareRow {
  std::string name;
  std::vector<std::string> cells;
  std::size_t line = 0, first_column = 0;
};

bool is_value(std::string_view cell) {
  cell = trim(cell);
  if (cell.ends_with('%')) cell.remove_suffix(1);
  const bool comma = cell.find(',') != cell.npos;
  return number_in(cell, comma ? ',' : '.').has_value();
}

/// None where the line is no line of values.
std::optional<BareRow> bare_row(const CsvRow& row) {
  BareRow bare;
  bare.line = row.line;
  std::size_t from = 0, to = row.cells.size();
  while (to > 0 && trim(row.cells[to - 1]).empty()) --to;
  if (to > 1 && !is_value(row.cells[0])) {
    bare.name = trim(row.cells[0]);
    from = 1;
  }
  for (std::size_t j = from; j < to; ++j)
    if (!is_value(row.cells[j])) return std::nullopt;
  if (to == from) return std::nullopt;
  bare.cells.assign(row.cells.begin() + static_cast<std::ptrdiff_t>(from),
                    row.cells.begin() + static_cast<std::ptrdiff_t>(to));
  bare.first_column = from;
  return bare;
}

/// The lines of values that one separator gives, and the lines above them.
struct BareTable {
  std::vector<BareRow> rows;
  std::vector<CsvRow> above;
  std::optional<CsvRow> stray;  ///< a line below the first values that is none of values

  std::size_t width() const { return rows.empty() ? 0 : rows.front().cells.size(); }
  bool even() const {
    return std::all_of(rows.begin(), rows.end(),
                       [&](const BareRow& row) { return row.cells.size() == width(); });
  }
};

constexpr std::size_t most_bare_cells = 4000000;

BareTable bare_table(std::string_view text, char separator) {
  BareTable table;
  CsvRows rows(text, separator);
  CsvRow row;
  std::size_t cells = 0;
  while (rows.next(row)) {
    // Every cell is kept as text here: more would take more memory than a file may.
    cells += row.cells.size();
    if (cells > most_bare_cells) return {};
    if (auto bare = bare_row(row))
      table.rows.push_back(*std::move(bare));
    else if (table.rows.empty())
      table.above.push_back(row);
    else if (!table.stray)
      table.stray = row;
  }
  return table;
}

/// The separator that gives the widest table of values; even ones first.
BareTable best_table(std::string_view text, std::string_view separators) {
  BareTable best;
  for (const char separator : separators) {
    BareTable one = bare_table(text, separator);
    const auto worth = [](const BareTable& table) {
      return table.rows.empty() ? 0 : table.width() + (table.even() ? 100000u : 0u);
    };
    if (worth(one) > worth(best)) best = std::move(one);
  }
  return best;
}

class BareReader {
 public:
  BareReader(BareTable table, std::string_view file, const StatedBands& bands)
      : table_(std::move(table)), file_(file), bands_(bands) {}

  Result<RawFile> read() {
    raw_.rule = ScaleRule::by_range;
    raw_.tables.emplace_back();
    const std::size_t n = bands_.count();
    const bool a_row_each = table_.width() == n;
    if (!a_row_each && table_.rows.size() != n) return wrong_count();
    if (table_.stray)
      return bad_input(
          "expected a line of numbers, found " + quoted(trim(table_.stray->cells.front())),
          place(file_, table_.stray->line));
    if (auto ok = check_even(); !ok) return ok.error();
    if (auto ok = find_decimal_sign(); !ok) return ok.error();
    if (a_row_each && table_.rows.size() == n && n > 1)
      raw_.warn("as many rows as bands: each row was read as one reading",
                place(file_, table_.rows.front().line));
    raw_.warn("no wavelengths stand in the table; read as " + shortest(bands_.first_nm) + "-" +
                  shortest(bands_.last_nm) + " nm in steps of " + shortest(bands_.step_nm) + " nm" +
                  ", as stated, one reading a " + (a_row_each ? "row" : "column"),
              place(file_, table_.rows.front().line));
    return a_row_each ? rows() : columns();
  }

 private:
  Error wrong_count() const {
    const std::string n = std::to_string(bands_.count());
    if (table_.rows.empty())
      return bad_input("expected " + n + " values a row or a column, found no line of numbers",
                       place(file_, 1));
    return bad_input("expected " + n + " values a row or a column, found " +
                         std::to_string(table_.rows.size()) + " rows of " +
                         std::to_string(table_.width()),
                     place(file_, table_.rows.front().line));
  }

  Result<void> check_even() const {
    for (const BareRow& row : table_.rows)
      if (row.cells.size() != table_.width())
        return bad_input("expected " + std::to_string(table_.width()) + " values, found " +
                             std::to_string(row.cells.size()),
                         place(file_, row.line));
    return {};
  }

  Result<void> find_decimal_sign() {
    DecimalSign sign;
    std::string point, comma;
    for (const BareRow& row : table_.rows)
      for (std::size_t j = 0; j < row.cells.size(); ++j) {
        sign.look_at(number_part(row.cells[j]));
        const bool has_comma = row.cells[j].find(',') != std::string::npos;
        std::string& where = has_comma ? comma : point;
        if (where.empty()) where = spot_in(file_, row.line, row.first_column + j + 1);
      }
    if (sign.mixed()) return mixed_signs(file_, point, comma);
    decimal_sign_ = sign.sign();
    return {};
  }

  static std::string_view number_part(std::string_view cell) {
    cell = trim(cell);
    if (cell.ends_with('%')) cell.remove_suffix(1);
    return cell;
  }

  double nm(std::size_t k) const {
    return bands_.first_nm + bands_.step_nm * static_cast<double>(k);
  }

  void put(RawReading& raw, std::size_t band, std::string_view cell) const {
    raw.nm.push_back(nm(band));
    raw.value.push_back(number_in(number_part(cell), decimal_sign_).value_or(0));
    if (trim(cell).ends_with('%')) raw.stated = Scale::percent;
  }

  Result<RawFile> rows() {
    for (std::size_t i = 0; i < table_.rows.size(); ++i) {
      const BareRow& row = table_.rows[i];
      RawReading raw;
      raw.reading.name = row.name.empty() ? std::to_string(i + 1) : row.name;
      raw.reading.source = {std::string(file_), row.line, 0};
      for (std::size_t k = 0; k < row.cells.size(); ++k) put(raw, k, row.cells[k]);
      if (auto ok = raw_.add(std::move(raw)); !ok) return ok.error();
    }
    return std::move(raw_);
  }

  /// Names may stand in the last line above, one a column.
  std::string name_above(std::size_t j) const {
    if (table_.above.empty()) return {};
    const CsvRow& heading = table_.above.back();
    const std::size_t at = j + table_.rows.front().first_column;
    return at < heading.cells.size() ? std::string(trim(heading.cells[at])) : std::string();
  }

  Result<RawFile> columns() {
    for (std::size_t j = 0; j < table_.width(); ++j) {
      RawReading raw;
      raw.reading.name = name_above(j);
      if (raw.reading.name.empty()) raw.reading.name = "column " + std::to_string(j + 1);
      const BareRow& first = table_.rows.front();
      raw.reading.source = {std::string(file_), first.line, first.first_column + j + 1};
      for (std::size_t k = 0; k < table_.rows.size(); ++k) put(raw, k, table_.rows[k].cells[j]);
      if (auto ok = raw_.add(std::move(raw)); !ok) return ok.error();
    }
    return std::move(raw_);
  }

  BareTable table_;
  std::string_view file_;
  StatedBands bands_;
  RawFile raw_;
  char decimal_sign_ = '.';
};

}  // namespace

Result<RawFile> read_bare_values(std::string_view text, std::string_view file,
                                 std::string_view separators, const StatedBands& bands) {
  return BareReader(best_table(text, separators), file, bands).read();
}

std::string bare_values_in(std::string_view text, std::string_view separators) {
  constexpr std::size_t fewest = 8, most_text = 1u << 20;
  const BareTable table = best_table(text.substr(0, most_text), separators);
  if (table.rows.empty() || table.stray || !table.even()) return {};
  if (table.width() < fewest && table.rows.size() < fewest) return {};
  return std::to_string(table.rows.size()) + (table.rows.size() == 1 ? " row" : " rows") + " of " +
         std::to_string(table.width()) + " numbers";
}

}  // namespace formats
}  // namespace mendtone
