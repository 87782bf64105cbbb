#include <algorithm>
#include <set>

#include "formats/csv.hpp"
#include "formats/lamps.hpp"
#include "formats/text.hpp"
#include "formats/words.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/spectral/places.hpp"

namespace mendtone::formats {
namespace {

// Fewer lines in order may be chance; a lamp from 400 to 700 nm in steps of 40 has eight.
constexpr std::size_t fewest_rows = 8;
constexpr std::size_t most_heading_rows = 2000;
// Wavelengths anywhere from the X-ray end to the far infrared; what is kept is settled later.
constexpr double lowest_nm = 100, highest_nm = 10000;

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

std::optional<double> number_with_either_sign(std::string_view text) {
  const bool comma = text.find(',') != std::string_view::npos;
  return number_in(text, comma ? ',' : '.');
}

std::optional<double> possible_nm(std::string_view digits) {
  const auto nm = number_with_either_sign(digits);
  return nm && *nm >= lowest_nm && *nm <= highest_nm ? nm : std::nullopt;
}

/// The first cell of a row of numbers: a wavelength, bare or as '380 nm' among other words.
struct Key {
  double nm = 0;
  std::string label;    ///< the other words
  bool worded = false;  ///< '380 nm', not a bare number
};

bool is_mark(char c) {
  return std::string_view(" \t:=_-.,;()[]{}/").find(c) != std::string_view::npos;
}

std::string without_marks(std::string_view text) {
  while (!text.empty() && is_mark(text.front())) text.remove_prefix(1);
  while (!text.empty() && is_mark(text.back())) text.remove_suffix(1);
  return std::string(text);
}

/// True where `text` begins with the unit nm, brackets before it allowed; `text` is left behind it.
bool take_nm(std::string_view& text) {
  std::string_view rest = text;
  while (!rest.empty() && std::string_view(" [(").find(rest.front()) != std::string_view::npos)
    rest.remove_prefix(1);
  if (rest.size() < 2 || !same_word(rest.substr(0, 2), "nm")) return false;
  rest.remove_prefix(2);
  if (!rest.empty() && ((rest[0] >= 'a' && rest[0] <= 'z') || (rest[0] >= 'A' && rest[0] <= 'Z')))
    return false;
  text = rest;
  return true;
}

std::optional<Key> key_of(std::string_view cell) {
  cell = trim(cell);
  if (cell.empty() || cell.size() > 80) return std::nullopt;
  if (const auto nm = possible_nm(cell)) return Key{*nm, {}, false};
  for (std::size_t i = 0; i < cell.size(); ++i) {
    if (!is_digit(cell[i])) continue;
    std::size_t end = i;
    while (end < cell.size() && (is_digit(cell[end]) || cell[end] == '.' || cell[end] == ','))
      ++end;
    std::string_view rest = cell.substr(end);
    const auto nm = possible_nm(cell.substr(i, end - i));
    // '380-780 nm' is a range, no wavelength.
    const bool of_a_range = i > 0 && (cell[i - 1] == '-' || cell[i - 1] == '.');
    if (nm && !of_a_range && take_nm(rest)) {
      std::string label = without_marks(cell.substr(0, i));
      const std::string behind = without_marks(rest);
      if (!label.empty() && !behind.empty()) label += ' ';
      return Key{*nm, label + behind, true};
    }
    i = end;
  }
  return std::nullopt;
}

bool states_nothing(std::string_view cell) {
  cell = trim(cell);
  return cell.empty() || is_not_available(cell) || cell == "-";
}

bool names_wavelength(std::string_view cell) {
  cell = trim(cell);
  return holds(cell, "wavelength") || holds(cell, "lambda") || holds(cell, "λ") ||
         holds(cell, "wellenl") || is_one_of(cell, {"nm", "wl", "[nm]", "(nm)", "wave"});
}

/// Rows of numbers of one label whose wavelengths rise or fall.
struct Block {
  std::string label;
  bool worded = false;  ///< wavelengths stand as '380 nm', so headings are not to be expected
  std::vector<CsvRow> rows;
  std::vector<double> nm;
};

/// A text parted by one separator, wavelengths in one column.
struct Lengthwise {
  char separator = '\t';
  std::size_t key = 0;
  std::vector<Block> blocks;
  std::vector<CsvRow> others;  ///< rows that are no numbers: headings, keys and values

  std::size_t rows() const {
    std::size_t n = 0;
    for (const Block& block : blocks) n += block.rows.size();
    return n;
  }
};

bool continues(const Block& block, const Key& key) {
  if (block.label != key.label) return false;
  const std::size_t n = block.nm.size();
  if (key.nm == block.nm.back()) return false;
  return n < 2 || (key.nm > block.nm.back()) == (block.nm[1] > block.nm[0]);
}

Lengthwise lengthwise(std::string_view text, char separator, std::size_t key_column) {
  Lengthwise found{separator, key_column, {}, {}};
  CsvRows rows(text, separator);
  CsvRow row;
  Block block;
  const auto close = [&] {
    if (block.rows.size() >= fewest_rows) found.blocks.push_back(std::move(block));
    block = {};
  };
  while (rows.next(row)) {
    std::optional<Key> key;
    if (row.cells.size() > key_column + 1) key = key_of(row.cells[key_column]);
    const auto from = row.cells.begin() + static_cast<std::ptrdiff_t>(key_column) + 1;
    if (key && std::none_of(from, row.cells.end(), [](const std::string& cell) {
          return number_with_either_sign(cell).has_value();
        }))
      key.reset();
    if (!key) {
      close();
      if (found.others.size() < most_heading_rows) found.others.push_back(row);
      continue;
    }
    if (!block.rows.empty() && !continues(block, *key)) close();
    if (block.rows.empty()) {
      block.label = key->label;
      block.worded = key->worded;
    }
    block.nm.push_back(key->nm);
    block.rows.push_back(row);
  }
  close();
  return found;
}

/// Wavelengths along one row; every row below it that has numbers there is a lamp.
struct Crosswise {
  char separator = '\t';
  CsvRow heading;
  std::vector<std::size_t> columns;
  std::vector<double> nm;
  std::vector<CsvRow> rows;
};

/// The longest run of cells whose wavelengths rise or fall.
void find_run(const CsvRow& row, Crosswise& found) {
  std::vector<std::size_t> columns;
  std::vector<double> nm;
  for (std::size_t i = 0; i < row.cells.size(); ++i) {
    std::optional<double> at;
    if (const auto band = band_heading(row.cells[i]))
      at = band->nm;
    else if (const auto key = key_of(row.cells[i]))
      at = key->nm;
    const bool in_order =
        at && (nm.empty() ||
               (*at != nm.back() && (nm.size() < 2 || (*at > nm.back()) == (nm[1] > nm[0]))));
    if (!in_order) {
      columns.clear();
      nm.clear();
    }
    if (!at) continue;
    columns.push_back(i);
    nm.push_back(*at);
    if (nm.size() > found.nm.size()) {
      found.columns = columns;
      found.nm = nm;
    }
  }
}

Crosswise crosswise(std::string_view text, char separator) {
  Crosswise found;
  found.separator = separator;
  CsvRows rows(text, separator);
  CsvRow row;
  while (rows.next(row)) {
    if (found.columns.empty()) {
      Crosswise run;
      if (row.cells.size() >= fewest_rows) find_run(row, run);
      if (run.nm.size() >= fewest_rows) {
        found.columns = std::move(run.columns);
        found.nm = std::move(run.nm);
        found.heading = row;
      }
      continue;
    }
    std::size_t numbers = 0;
    for (const std::size_t i : found.columns)
      numbers += i < row.cells.size() && number_with_either_sign(row.cells[i]).has_value();
    if (numbers >= fewest_rows) found.rows.push_back(row);
  }
  return found;
}

/// Reads columns of numbers below their headings.
class LengthwiseReader {
 public:
  LengthwiseReader(Lengthwise table, std::string_view file)
      : table_(std::move(table)), file_(file) {}

  Result<RawLampFile> read() {
    for (std::size_t b = 0; b < table_.blocks.size(); ++b) labels_.insert(table_.blocks[b].label);
    if (auto ok = find_decimal_sign(); !ok) return ok.error();
    for (std::size_t b = 0; b < table_.blocks.size(); ++b)
      if (auto ok = read_block(b); !ok) return ok.error();
    return std::move(raw_);
  }

 private:
  Result<void> find_decimal_sign() {
    DecimalSign sign;
    std::string point, comma;
    for (const Block& block : table_.blocks)
      for (const CsvRow& row : block.rows)
        for (std::size_t j = table_.key; j < row.cells.size(); ++j) {
          if (!sign.look_at(row.cells[j])) continue;
          const bool has_comma = row.cells[j].find(',') != std::string::npos;
          const bool has_point = row.cells[j].find('.') != std::string::npos;
          std::string& where = has_comma ? comma : point;
          if ((has_comma || has_point) && where.empty()) where = spot_in(file_, row.line, j + 1);
        }
    if (sign.mixed()) return mixed_signs(file_, point, comma);
    decimal_sign_ = sign.sign();
    return {};
  }

  std::size_t first_line(std::size_t b) const { return table_.blocks[b].rows.front().line; }
  /// Headings belong to the block that they stand above; behind the last block, to that one.
  bool stands_over(const CsvRow& row, std::size_t b) const {
    const std::size_t from = b == 0 ? 0 : table_.blocks[b - 1].rows.back().line;
    const bool last = b + 1 == table_.blocks.size();
    return row.line > from && (row.line < first_line(b) || last);
  }

  /// The row of column headings, or none.
  const CsvRow* heading_of(std::size_t b) const {
    const CsvRow* found = nullptr;
    for (const CsvRow& row : table_.others) {
      if (!stands_over(row, b) || row.line > first_line(b)) continue;
      if (row.cells.size() < table_.key + 2) continue;
      const std::string& key = row.cells[table_.key];
      const std::string& first = row.cells[table_.key + 1];
      const bool just_above = row.line + 1 == first_line(b) && !table_.blocks[b].worded;
      const bool plain = std::none_of(first.begin(), first.end(), is_digit);
      const bool blank_key = trim(key).empty() && !trim(first).empty();
      if (names_wavelength(key) || blank_key ||
          (just_above && (plain || row.cells.size() >= table_.key + 3)))
        found = &row;
    }
    return found;
  }

  static bool names_names(std::string_view key) {
    key = trim(key);
    while (!key.empty() && is_mark(key.back())) key.remove_suffix(1);
    return is_one_of(
        key, {"name", "title", "lamp", "light", "source", "light source", "sample", "memo", "label",
              "description", "measurement name", "data name", "test name", "sample name"});
  }

  const std::string* cell_at(const CsvRow& row, std::size_t j) const {
    return j < row.cells.size() && !trim(row.cells[j]).empty() ? &row.cells[j] : nullptr;
  }

  Result<void> read_block(std::size_t b) {
    const Block& block = table_.blocks[b];
    const CsvRow* heading = heading_of(b);
    std::size_t width = 0;
    for (const CsvRow& row : block.rows) width = std::max(width, used_width(row));
    if (heading && names_wavelength(heading->cells[table_.key]) && used_width(*heading) < width)
      return bad_input("expected " + std::to_string(used_width(*heading)) +
                           " cells, as the heading has, found " + std::to_string(width) +
                           " (is the separator also the decimal sign?)",
                       place(file_, block.rows.front().line));
    std::vector<std::size_t> columns;
    for (std::size_t j = table_.key + 1; j < width; ++j)
      if (is_power_column(block, j)) columns.push_back(j);
    for (const std::size_t j : columns)
      if (auto ok = read_column(b, heading, j, columns.size() > 1); !ok) return ok.error();
    return {};
  }

  static std::size_t used_width(const CsvRow& row) {
    std::size_t width = row.cells.size();
    while (width > 0 && trim(row.cells[width - 1]).empty()) --width;
    return width;
  }

  /// Columns of words, and such as hold the wavelengths once more, are none.
  bool is_power_column(const Block& block, std::size_t j) const {
    std::size_t numbers = 0, same = 0;
    for (std::size_t i = 0; i < block.rows.size(); ++i) {
      if (j >= block.rows[i].cells.size()) continue;
      const auto value = number_in(block.rows[i].cells[j], decimal_sign_);
      numbers += value.has_value();
      same += value && *value == block.nm[i];
    }
    return numbers >= fewest_rows && same < numbers;
  }

  Result<void> read_column(std::size_t b, const CsvRow* heading, std::size_t j,
                           bool several_columns) {
    const Block& block = table_.blocks[b];
    RawLamp raw;
    raw.lamp.source = {std::string(file_), block.rows.front().line, j + 1};
    std::string named, words = block.label;
    const std::string* const head = heading ? cell_at(*heading, j) : nullptr;
    if (head) words += (words.empty() ? "" : " ") + std::string(trim(*head));
    for (const CsvRow& row : table_.others) {
      if (!stands_over(row, b) && table_.blocks.size() > 1 && labels_.size() < 2) continue;
      read_key(row, j, raw.lamp, named, words);
    }
    raw.lamp.quantity = words;
    raw.lamp.name = name_of_column(b, j, named, head, several_columns);
    for (std::size_t i = 0; i < block.rows.size(); ++i) {
      const CsvRow& row = block.rows[i];
      if (j >= row.cells.size() || states_nothing(row.cells[j])) continue;
      const auto value = number_in(row.cells[j], decimal_sign_);
      if (!value)
        return bad_input("expected a number or a blank, found " + quoted(trim(row.cells[j])),
                         place(file_, row.line, j + 1));
      raw.nm.push_back(block.nm[i]);
      raw.value.push_back(*value);
    }
    raw_.lamps.push_back(std::move(raw));
    return {};
  }

  /// A row of a key and values: a name, a chromaticity, a unit. One value serves every column.
  void read_key(const CsvRow& row, std::size_t j, Lamp& lamp, std::string& named,
                std::string& words) const {
    if (row.cells.size() < 2) return;
    const std::string& key = row.cells[table_.key < row.cells.size() ? table_.key : 0];
    const std::string* cell = cell_at(row, j);
    if (!cell && used_width(row) == table_.key + 2) cell = cell_at(row, table_.key + 1);
    if (!cell) return;
    if (names_names(key)) {
      named = trim(*cell);
    } else if (is_one_of(trim(key), {"unit", "units"})) {
      words += " " + std::string(trim(*cell));
    } else if (const Stated what = stated_by(key); what != Stated::none) {
      put_stated(what, *cell, lamp);
    }
  }

  std::string name_of_column(std::size_t b, std::size_t j, const std::string& named,
                             const std::string* head, bool several_columns) const {
    std::string name;
    const auto add = [&](std::string_view part) {
      if (!part.empty()) name += (name.empty() ? "" : ", ") + std::string(part);
    };
    if (several_columns || table_.blocks.size() > 1) add(named);
    if (labels_.size() > 1) add(table_.blocks[b].label);
    if (several_columns && (named.empty() || labels_.size() < 2))
      add(head && trim(*head) != named ? trim(*head) : std::string_view());
    if (several_columns && name.empty()) add("column " + std::to_string(j + 1));
    if (table_.blocks.size() > 1 && name.empty()) add("line " + std::to_string(first_line(b)));
    return name;
  }

  Lengthwise table_;
  std::string_view file_;
  std::set<std::string> labels_;
  RawLampFile raw_;
  char decimal_sign_ = '.';
};

/// Reads rows of numbers below one row of wavelengths.
class CrosswiseReader {
 public:
  CrosswiseReader(Crosswise table, std::string_view file) : table_(std::move(table)), file_(file) {}

  Result<RawLampFile> read() {
    if (const auto word = word_of_readings()) {
      raw_.others.push_back("readings of a sheet (a column " + quoted(*word) + ")");
      return std::move(raw_);
    }
    DecimalSign sign;
    for (const CsvRow& row : table_.rows)
      for (const std::size_t j : table_.columns)
        if (j < row.cells.size()) sign.look_at(row.cells[j]);
    if (sign.mixed())
      return bad_input("expected one decimal sign, found points and commas",
                       place(file_, table_.rows.front().line));
    for (const CsvRow& row : table_.rows)
      if (auto ok = read_row(row, sign.sign()); !ok) return ok.error();
    return std::move(raw_);
  }

 private:
  /// A heading that only readings of sheets have.
  std::optional<std::string> word_of_readings() const {
    for (const std::string& cell : table_.heading.cells) {
      const Field field = field_from(cell);
      for (const Field own : {Field::role, Field::backing, Field::plies, Field::side, Field::state,
                              Field::condition, Field::load, Field::grammage_g_m2})
        if (field == own) return cell;
      if (const auto lab = lab_heading(cell); lab && cell.find('*') != std::string::npos)
        return cell;
    }
    return std::nullopt;
  }

  Result<void> read_row(const CsvRow& row, char decimal_sign) {
    RawLamp raw;
    raw.lamp.source = {std::string(file_), row.line, 0};
    for (std::size_t j = 0; j < std::min(row.cells.size(), table_.heading.cells.size()); ++j) {
      if (std::find(table_.columns.begin(), table_.columns.end(), j) != table_.columns.end())
        continue;
      const std::string_view heading = trim(table_.heading.cells[j]), cell = trim(row.cells[j]);
      const Field field = field_from(heading);
      if (field == Field::quantity || is_one_of(heading, {"unit", "units"})) {
        raw.lamp.quantity = cell;
      } else if (const Stated what = stated_by(heading); what != Stated::none) {
        put_stated(what, cell, raw.lamp);
      } else if (raw.lamp.name.empty() && !number_with_either_sign(cell)) {
        raw.lamp.name = cell;
      }
    }
    if (raw.lamp.name.empty() && table_.rows.size() > 1)
      raw.lamp.name = "line " + std::to_string(row.line);
    for (std::size_t k = 0; k < table_.columns.size(); ++k) {
      const std::size_t j = table_.columns[k];
      if (j >= row.cells.size() || states_nothing(row.cells[j])) continue;
      const auto value = number_in(row.cells[j], decimal_sign);
      if (!value)
        return bad_input("expected a number or a blank, found " + quoted(trim(row.cells[j])),
                         place(file_, row.line, j + 1));
      raw.nm.push_back(table_.nm[k]);
      raw.value.push_back(*value);
    }
    raw_.lamps.push_back(std::move(raw));
    return {};
  }

  Crosswise table_;
  std::string_view file_;
  RawLampFile raw_;
};

}  // namespace

Result<RawLampFile> read_text_lamps(std::string_view text, std::string_view file,
                                    std::string_view separators) {
  Lengthwise down;
  Crosswise across;
  for (const char separator : separators) {
    for (const std::size_t key : {0, 1, 2})
      if (Lengthwise one = lengthwise(text, separator, key); one.rows() > down.rows())
        down = std::move(one);
    Crosswise one = crosswise(text, separator);
    if (one.rows.size() * one.columns.size() > across.rows.size() * across.columns.size())
      across = std::move(one);
  }
  if (across.rows.size() * across.columns.size() > down.rows())
    return CrosswiseReader(std::move(across), file).read();
  if (!down.blocks.empty()) return LengthwiseReader(std::move(down), file).read();
  RawLampFile nothing;
  std::string_view rest = text;
  nothing.others.push_back("a text that begins with " + quoted(trim(take_line(rest))));
  return nothing;
}

}  // namespace mendtone::formats
