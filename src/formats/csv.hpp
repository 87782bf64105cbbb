#pragma once
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "formats/csv_cells.hpp"
#include "formats/raw.hpp"
#include "formats/text.hpp"
#include "formats/words.hpp"

namespace mendtone::formats {

/// The columns of a readings CSV that are not bands.
enum class Field {
  none,
  name,
  id,
  repeat,
  role,
  backing,
  plies,
  side,
  state,
  geometry,
  condition,
  instrument,
  aperture_mm,
  lot,
  stock,
  series,
  grammage_g_m2,
  bleeds,
  load_unit,
  scale,
  quantity,
  light,
  observer,
  load
};

std::string_view name_of(Field field);
/// The column that a heading names, in our spelling or a near one. `load:` headings are `load`.
Field field_from(std::string_view heading);
/// Every word that heads a column, as it is written.
std::vector<std::string> field_words();
/// The colorant of a `load:<colorant>` heading.
std::string colorant_of(std::string_view heading);

/// Puts a cell's text where it belongs in `raw`; blank leaves it unstated. Refuses what the column
/// cannot hold; the message says what it can. `load` is not handled here.
Result<void> put(Field field, std::string_view text, char decimal_sign, RawReading& raw);

/// Where in the text the table lies.
enum class Layout { none, rows, columns };
struct CsvShape {
  Layout layout = Layout::none;
  char separator = ',';
  std::size_t heading_line = 0;  ///< rows: the heading. columns: the first line with numbers
  std::size_t understood = 0;    ///< headings or lines recognised: the higher, the surer
  std::vector<std::string> first_heading;  ///< of the first row, for the refusal
};
CsvShape shape_of(std::string_view text, std::string_view separators = ";\t, ");

/// A table of readings whose cells one of `separators` parts.
Result<RawFile> read_table(std::string_view text, std::string_view file,
                           std::string_view separators, const ReadOptions& options);

/// One reading a row.
Result<RawFile> read_csv_rows(std::string_view text, std::string_view file, const CsvShape& shape);
/// Wavelengths down the first column, one reading a column.
Result<RawFile> read_csv_columns(std::string_view text, std::string_view file,
                                 const CsvShape& shape);

/// Values only, in bands that the person states: a reading a row, or a reading a column.
Result<RawFile> read_bare_values(std::string_view text, std::string_view file,
                                 std::string_view separators, const StatedBands& bands);
/// Of a text without a heading, what it looks like: "12 rows of 31 numbers"; empty where it does
/// not look like values only.
std::string bare_values_in(std::string_view text, std::string_view separators);

/// The refusal of a text in which both decimal signs stand.
Error mixed_signs(std::string_view file, const std::string& where_point,
                  const std::string& where_comma);

/// NA, N/A and NaN: how statistics programs write 'not stated'.
bool is_not_available(std::string_view cell);

}  // namespace mendtone::formats
