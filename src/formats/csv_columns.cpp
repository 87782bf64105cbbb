#include <algorithm>

#include "formats/csv.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/spectral/places.hpp"

namespace mendtone::formats {
namespace {

/// Reads a table whose first column is the wavelength. Where another column holds the same
/// wavelengths again (one wavelength column a sample), it serves the columns after it.
class ColumnReader {
 public:
  ColumnReader(std::string_view text, std::string_view file, const CsvShape& shape)
      : text_(text), file_(file), shape_(shape) {}

  Result<RawFile> read() {
    raw_.rule = ScaleRule::by_range;
    raw_.refuse_bare_lab = true;
    raw_.tables.emplace_back();
    MENDTONE_TRY(look_over());
    MENDTONE_TRY(head());
    MENDTONE_TRY(body());
    raw_.warn("wavelengths stand in the first column; each further column was read as one reading",
              place(file_, shape_.heading_line));
    if (auto ok = keep_samples(); !ok) return ok.error();
    return std::move(raw_);
  }

 private:
  /// The columns read so far become readings; those that hold another quantity are named.
  Result<void> keep_samples() {
    for (RawReading& sample : samples_) {
      if (sample.nm.empty()) continue;
      if (sample.what.empty()) {
        if (auto ok = raw_.add(sample); !ok) return ok;
      } else {
        raw_.warn("a column of " + sample.what + " was left out", text_of(sample.reading.source));
        raw_.not_readings.push_back(sample.what);
      }
      sample.nm.clear();
      sample.value.clear();
      sample.has_holes = false;
    }
    return {};
  }

  /// One pass for the width of the table, the decimal sign and the wavelength columns.
  Result<void> look_over() {
    CsvRows rows(text_, shape_.separator);
    CsvRow row;
    DecimalSign sign;
    std::string where_point, where_comma;
    while (rows.next(row)) {
      if (row.line < shape_.heading_line) continue;
      if (width_ == 0) width_ = first_width(row);
      for (std::size_t j = 0; j < row.cells.size(); ++j) {
        if (!sign.look_at(row.cells[j])) continue;
        const bool comma = row.cells[j].find(',') != std::string::npos;
        const bool point = row.cells[j].find('.') != std::string::npos;
        std::string& where = comma ? where_comma : where_point;
        if ((comma || point) && where.empty()) where = spot_in(file_, row.line, j + 1);
      }
      for (std::size_t j = 1; j < std::min(width_, row.cells.size()); ++j)
        repeats_first_[j] = repeats_first_[j] && trim(row.cells[j]) == trim(row.cells[0]);
    }
    if (auto ok = rows.sound(file_); !ok) return ok;
    if (sign.mixed()) return mixed_signs(file_, where_point, where_comma);
    decimal_sign_ = sign.sign();
    return {};
  }

  std::size_t first_width(const CsvRow& row) {
    std::size_t width = row.cells.size();
    while (width > 2 && trim(row.cells[width - 1]).empty()) --width;
    repeats_first_.assign(width, true);
    return width;
  }

  bool is_wavelengths(std::size_t j) const { return j == 0 || repeats_first_[j]; }

  /// The lines above the numbers: names, column headings, conditions.
  Result<void> head() {
    samples_.resize(width_);
    std::vector<CsvRow> above;
    CsvRows rows(text_, shape_.separator);
    CsvRow row;
    while (rows.next(row) && row.line < shape_.heading_line) above.push_back(row);
    for (std::size_t j = 0; j < width_; ++j)
      samples_[j].reading.source = {std::string(file_), shape_.heading_line, j + 1};
    std::size_t unread = 0;
    for (const CsvRow& line : above) {
      auto used = MENDTONE_TRY(head_line(line));
      unread += !used;
    }
    if (unread > 0)
      raw_.warn(std::to_string(unread) + " lines above the table were not read", place(file_, 1));
    for (std::size_t j = 1; j < width_; ++j)
      if (samples_[j].reading.name.empty())
        samples_[j].reading.name = "column " + std::to_string(j + 1);
    return {};
  }

  Result<bool> head_line(const CsvRow& line) {
    const std::string_view first = trim(line.cells.front());
    const Field field = field_from(first);
    const bool is_heading = field == Field::name || field == Field::id || names_wavelength(first) ||
                            (first.empty() && line.cells.size() >= width_) ||
                            (width_ > 2 && line.cells.size() >= width_ && field == Field::none);
    if (field != Field::none && field != Field::name && field != Field::id) {
      for (std::size_t j = 1; j < std::min(width_, line.cells.size()); ++j)
        if (auto ok = put(field, line.cells[j], decimal_sign_, samples_[j]); !ok)
          return bad_input(ok.error().message, place(file_, line.line, j + 1));
      return true;
    }
    if (!is_heading && line.cells.size() < 2) return false;
    if (!is_heading && width_ == 2 && !names_quantity(line.cells[1])) return false;
    for (std::size_t j = 0; j < std::min(width_, line.cells.size()); ++j)
      MENDTONE_TRY(heading_cell(line, j));
    return true;
  }

  static bool names_wavelength(std::string_view text) {
    return holds(text, "wavelength") || holds(text, "lambda") || holds(text, "λ") ||
           is_one_of(text, {"nm", "wl", "x", "[nm]", "(nm)", "wave", "nanometers", "nanometres"});
  }

  static bool names_quantity(std::string_view text) {
    return quantity_in(text).has_value() || squeezed(text).empty() ||
           is_one_of(text, {"%R", "R%", "%T", "T%", "R [%]", "R (%)", "T (%)", "T [%]", "percent"});
  }

  Result<void> heading_cell(const CsvRow& line, std::size_t j) {
    const std::string_view cell = trim(line.cells[j]);
    if (cell.empty()) return {};
    if (names_wavelength(cell)) {
      if (holds(cell, "1/cm") || holds(cell, "cm-1"))
        return no_reading(file_, {"a spectrum over wavenumber"});
      return {};
    }
    RawReading& sample = samples_[j];
    if (const auto other = other_quantity_in(cell); other && !quantity_in(cell) && j > 0) {
      sample.what = *other;
      return {};
    }
    if (const auto scale = scale_in(cell)) sample.stated = scale;
    const auto quantity = is_one_of(cell, {"%T", "T%", "T (%)", "T [%]"}) ? Quantity::transmittance
                                                                          : quantity_in(cell);
    if (quantity) sample.reading.quantity = *quantity;
    if (names_quantity(cell)) return {};
    // With one wavelength column a sample, the sample's name may stand above its wavelengths.
    const std::size_t named = is_wavelengths(j) && j + 1 < width_ ? j + 1 : j;
    if (j == 0 && (width_ < 3 || !is_wavelengths(2))) return {};
    if (samples_[named].reading.name.empty()) samples_[named].reading.name = cell;
    return {};
  }

  Result<void> body() {
    CsvRows rows(text_, shape_.separator);
    CsvRow row;
    std::optional<double> first;
    std::size_t block = 1;
    while (rows.next(row)) {
      if (row.line < shape_.heading_line) continue;
      const auto nm = number_in(row.cells.front(), decimal_sign_);
      // Where the wavelengths begin anew, so does another reading of each column.
      if (nm && first && *nm == *first) {
        if (auto ok = keep_samples(); !ok) return ok;
        for (std::size_t j = 1; j < width_; ++j) {
          samples_[j].reading.repeat = std::to_string(block + 1);
          samples_[j].reading.source.line = row.line;
        }
        ++block;
      }
      if (!first) first = nm;
      if (!nm || *nm <= 0)
        return bad_input("expected a wavelength in nm, found " + quoted(trim(row.cells.front())),
                         place(file_, row.line, 1));
      MENDTONE_TRY(body_row(row, *nm));
    }
    return {};
  }

  Result<void> body_row(const CsvRow& row, double nm) {
    for (std::size_t j = 1; j < row.cells.size(); ++j) {
      std::string_view cell = trim(row.cells[j]);
      if (j >= width_ && !cell.empty())
        return bad_input("expected " + std::to_string(width_) + " cells, found " +
                             std::to_string(row.cells.size()),
                         place(file_, row.line, j + 1));
      if (j >= width_ || is_wavelengths(j)) continue;
      RawReading& sample = samples_[j];
      if (cell.empty() || is_not_available(cell)) {
        sample.has_holes = true;
        continue;
      }
      if (cell.ends_with('%')) {
        cell.remove_suffix(1);
        sample.stated = Scale::percent;
      }
      const auto value = number_in(cell, decimal_sign_);
      if (!value)
        return bad_input("expected a number or a blank, found " + quoted(cell),
                         place(file_, row.line, j + 1));
      sample.nm.push_back(nm);
      sample.value.push_back(*value);
    }
    return {};
  }

  std::string_view text_, file_;
  const CsvShape& shape_;
  RawFile raw_;
  std::vector<RawReading> samples_;  ///< one a column
  std::vector<bool> repeats_first_;
  std::size_t width_ = 0;
  char decimal_sign_ = '.';
};

}  // namespace

Result<RawFile> read_csv_columns(std::string_view text, std::string_view file,
                                 const CsvShape& shape) {
  return ColumnReader(text, file, shape).read();
}

}  // namespace mendtone::formats
