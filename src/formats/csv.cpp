#include "formats/csv.hpp"

#include <algorithm>
#include <array>
#include <utility>

#include "mendtone/base/numbers.hpp"

namespace mendtone::formats {
namespace {

constexpr std::array<std::pair<Field, std::string_view>, 22> field_names{
    {{Field::name, "name"},
     {Field::id, "id"},
     {Field::repeat, "repeat"},
     {Field::role, "role"},
     {Field::backing, "backing"},
     {Field::plies, "plies"},
     {Field::side, "side"},
     {Field::state, "state"},
     {Field::geometry, "geometry"},
     {Field::condition, "condition"},
     {Field::instrument, "instrument"},
     {Field::aperture_mm, "aperture_mm"},
     {Field::lot, "lot"},
     {Field::stock, "stock"},
     {Field::series, "series"},
     {Field::grammage_g_m2, "grammage_g_m2"},
     {Field::bleeds, "bleeds"},
     {Field::load_unit, "load_unit"},
     {Field::scale, "scale"},
     {Field::quantity, "quantity"},
     {Field::light, "light"},
     {Field::observer, "observer"}}};

/// Other spellings, squeezed.
constexpr std::array<std::pair<std::string_view, Field>, 26> near_names{
    {{"samplename", Field::name},
     {"sample", Field::name},
     {"dataname", Field::name},
     {"spotname", Field::name},
     {"spectrumtype", Field::quantity},
     {"measurementtype", Field::quantity},
     {"sampleid", Field::id},
     {"no", Field::id},
     {"nr", Field::id},
     {"number", Field::id},
     {"replicate", Field::repeat},
     {"samplebacking", Field::backing},
     {"ply", Field::plies},
     {"measurementcondition", Field::condition},
     {"measurementgeometry", Field::geometry},
     {"instrumentation", Field::instrument},
     {"aperturemm", Field::aperture_mm},
     {"aperture", Field::aperture_mm},
     {"grammagegm2", Field::grammage_g_m2},
     {"grammage", Field::grammage_g_m2},
     {"loadunit", Field::load_unit},
     {"unitofload", Field::load_unit},
     {"illuminant", Field::light},
     {"observerangle", Field::observer},
     {"observerdeg", Field::observer},
     {"observerdegrees", Field::observer}}};

constexpr std::string_view load_prefix = "load:";

template <class T>
Result<void> put_word(std::string_view text, T& target, std::optional<T> (*from)(std::string_view),
                      std::string_view expected) {
  auto value = from(text);
  if (!value) value = from(lower(text));
  if (!value) {
    std::string upper(text);
    for (char& c : upper)
      if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
    value = from(upper);
  }
  if (!value) return bad_input("expected " + std::string(expected) + ", found " + quoted(text));
  target = *value;
  return {};
}

Result<double> positive(std::string_view text, char decimal_sign) {
  const auto value = number_in(text, decimal_sign);
  if (!value || *value <= 0) return bad_input("expected a number above 0, found " + quoted(text));
  return *value;
}

Result<void> put_number(Field field, std::string_view text, char decimal_sign, Reading& reading) {
  auto value = MENDTONE_TRY(positive(text, decimal_sign));
  if (field == Field::plies) {
    if (value != static_cast<int>(std::min(value, 1000.0)))
      return bad_input("expected a whole number of plies, found " + quoted(text));
    reading.plies = static_cast<int>(value);
  } else if (field == Field::aperture_mm) {
    reading.aperture_mm = value;
  } else {
    reading.grammage_g_m2 = value;
  }
  return {};
}

BoundLab& lab_of(Reading& reading) {
  if (!reading.lab) reading.lab.emplace();
  return *reading.lab;
}

/// The fields that are kept as they were written.
std::string* text_of(Field field, Reading& reading) {
  switch (field) {
    case Field::name:
      return &reading.name;
    case Field::repeat:
      return &reading.repeat;
    case Field::backing:
      return &reading.backing;
    case Field::geometry:
      return &reading.geometry;
    case Field::instrument:
      return &reading.instrument;
    case Field::lot:
      return &reading.lot;
    case Field::stock:
      return &reading.stock;
    case Field::series:
      return &reading.series;
    default:
      return nullptr;
  }
}

Result<void> put_bleeds(std::string_view text, Reading& reading) {
  const std::string word = lower(text);
  if (word != "yes" && word != "no")
    return bad_input("expected bleeds yes or no, found " + quoted(text));
  reading.bleeds = word == "yes";
  return {};
}

Result<void> put_scale(std::string_view text, RawReading& raw) {
  raw.stated = scale_in(text);
  if (!raw.stated) return bad_input("expected scale fraction or percent, found " + quoted(text));
  return {};
}

Result<void> put_quantity(std::string_view text, RawReading& raw) {
  raw.emission = holds(text, "emiss") || holds(text, "irradian");
  if (raw.emission) return {};
  const auto quantity = quantity_in(text);
  if (!quantity)
    return bad_input("expected quantity reflectance or transmittance, found " + quoted(text));
  raw.reading.quantity = *quantity;
  return {};
}

/// A light may bring its observer: 'D50/2'.
Result<void> put_light(std::string_view text, Reading& reading) {
  const auto light = light_in(text);
  if (!light) return bad_input("expected a light such as D65, D50 or A, found " + quoted(text));
  lab_of(reading).light = *light;
  if (const auto observer = observer_in(text); observer && text.find('/') != text.npos)
    lab_of(reading).observer_deg = *observer;
  return {};
}

Result<void> put_observer(std::string_view text, Reading& reading) {
  const auto observer = observer_in(text);
  if (!observer) return bad_input("expected observer 2 or 10, found " + quoted(text));
  lab_of(reading).observer_deg = *observer;
  return {};
}

/// A row of wavelengths in order and nothing else.
bool is_bare_grid(const CsvRow& row) {
  double last = 0;
  for (const std::string& cell : row.cells) {
    const auto band = band_heading(cell);
    if (!band || band->nm <= last) return false;
    last = band->nm;
  }
  return row.cells.size() >= 5;
}

/// How many headings of a row are understood; 0 where it is no heading.
std::size_t heading_score(const CsvRow& row) {
  std::size_t bands = 0, labs = 0, fields = 0, loads = 0;
  bool has_name = false;
  for (const std::string& cell : row.cells) {
    if (band_heading(cell))
      ++bands;
    else if (lab_heading(cell))
      ++labs;
    else if (const Field field = field_from(cell); field != Field::none) {
      ++fields;
      loads += field == Field::load;
      has_name = has_name || field == Field::name || field == Field::id;
    }
  }
  // A line of numbers is no heading, though some of them may look like wavelengths.
  DecimalSign number;
  if (number.look_at(row.cells.front()) && !is_bare_grid(row)) return 0;
  if (bands >= 2) return bands + labs + fields;
  if (labs >= 3 || loads >= 1 || (has_name && fields >= 2)) return labs + fields;
  return 0;
}

/// The wavelength in a bare first cell; none where the cell is anything else.
std::optional<double> bare_nm(std::string_view cell) {
  cell = trim(cell);
  if (cell.empty() || cell.front() < '0' || cell.front() > '9') return std::nullopt;
  const auto band = band_heading(cell);
  return band ? std::optional(band->nm) : std::nullopt;
}

bool number_or_blank(std::string_view cell) {
  DecimalSign sign;
  cell = trim(cell);
  if (cell.ends_with('%')) cell.remove_suffix(1);
  return cell.empty() || is_not_available(cell) || sign.look_at(cell);
}

/// Looks for the first run of lines that begin with wavelengths in order.
class ColumnRun {
 public:
  void look_at(const CsvRow& row) {
    if (found()) return;
    const auto nm = row.cells.size() >= 2 ? bare_nm(row.cells.front()) : std::nullopt;
    const bool numbers = std::all_of(row.cells.begin() + 1, row.cells.end(), number_or_blank);
    if (!nm || !numbers) {
      length_ = 0;
      return;
    }
    const bool in_order = length_ > 0 && *nm != last_ && (length_ == 1 || (*nm > last_) == rising_);
    if (in_order) rising_ = *nm > last_;
    length_ = in_order ? length_ + 1 : 1;
    if (length_ == 1) first_line_ = row.line;
    last_ = *nm;
  }
  /// Three lines in order are taken for a table; fewer may be chance.
  bool found() const { return length_ >= 3; }
  std::size_t first_line() const { return first_line_; }

 private:
  std::size_t length_ = 0, first_line_ = 0;
  double last_ = 0;
  bool rising_ = true;
};

CsvShape shape_with(std::string_view text, char separator) {
  constexpr std::size_t rows_to_look_at = 300;
  CsvShape shape;
  shape.separator = separator;
  CsvRows rows(text, separator);
  CsvRow row;
  ColumnRun run;
  for (std::size_t n = 0; n < rows_to_look_at && rows.next(row); ++n) {
    if (n == 0) shape.first_heading = row.cells;
    const std::size_t score = heading_score(row);
    if (score > 0 && shape.layout != Layout::rows && !run.found()) {
      shape.layout = Layout::rows;
      shape.heading_line = row.line;
      shape.understood = score;
      return shape;
    }
    run.look_at(row);
  }
  if (run.found()) {
    shape.layout = Layout::columns;
    shape.heading_line = run.first_line();
    shape.understood = 3;
  }
  return shape;
}

Error no_heading(std::string_view text, std::string_view file, std::string_view separators,
                 const CsvShape& shape) {
  if (const std::string bare = bare_values_in(text, separators); !bare.empty())
    return bad_input("found " + bare +
                         " without wavelengths. Say where they lie, for example 400-700:10 (first, "
                         "last and step in nm)",
                     place(file, 1));
  std::vector<std::string> found;
  for (const std::string& cell : shape.first_heading) found.push_back(quoted(trim(cell)));
  return bad_input(
      "expected a heading line with a name and wavelengths in nm or L*, a*, b* (or CGATS, CxF3, "
      "JCAMP-DX); found " +
          (found.empty() ? std::string("nothing") : "a first line of " + listed(found, 6)),
      place(file, 1));
}

}  // namespace

std::string_view name_of(Field field) {
  for (const auto& [key, name] : field_names)
    if (key == field) return name;
  return "load";
}

std::vector<std::string> field_words() {
  std::vector<std::string> words;
  for (const auto& [field, name] : field_names) words.emplace_back(name);
  return words;
}

Field field_from(std::string_view heading) {
  heading = trim(heading);
  if (heading.size() > load_prefix.size() &&
      same_word(heading.substr(0, load_prefix.size()), load_prefix) &&
      !trim(heading.substr(load_prefix.size())).empty())
    return Field::load;
  for (const auto& [field, name] : field_names)
    if (same_word(heading, name)) return field;
  const std::string plain = squeezed(heading);
  for (const auto& [name, field] : near_names)
    if (plain == name) return field;
  return Field::none;
}

std::string colorant_of(std::string_view heading) {
  return std::string(trim(trim(heading).substr(load_prefix.size())));
}

bool is_not_available(std::string_view cell) {
  return is_one_of(trim(cell), {"NA", "N/A", "NaN", "#N/A", "n.a."});
}

Result<void> put(Field field, std::string_view text, char decimal_sign, RawReading& raw) {
  text = trim(text);
  if (text.empty()) return {};
  Reading& r = raw.reading;
  if (std::string* kept = text_of(field, r)) {
    *kept = text;
    return {};
  }
  switch (field) {
    case Field::id:
      if (r.name.empty()) r.name = text;
      return {};
    case Field::role:
      return put_word(text, r.role, role_from,
                      "role target, backing, substrate, tissue, swatch or trial");
    case Field::side:
      return put_word(text, r.side, side_from, "side front or back");
    case Field::state:
      return put_word(text, r.state, state_from, "state dry, wet, pasted or sized");
    case Field::condition:
      return put_word(text, r.condition, condition_from, "condition M0, M1, M2 or M3");
    case Field::load_unit:
      return put_word(text, r.load_unit, load_unit_from, "load_unit g_m2, ml_m2 or relative");
    case Field::plies:
    case Field::aperture_mm:
    case Field::grammage_g_m2:
      return put_number(field, text, decimal_sign, r);
    case Field::bleeds:
      return put_bleeds(text, r);
    case Field::scale:
      return put_scale(text, raw);
    case Field::quantity:
      return put_quantity(text, raw);
    case Field::light:
      return put_light(text, r);
    case Field::observer:
      return put_observer(text, r);
    default:  // loads and bands are read elsewhere
      return {};
  }
}

CsvShape shape_of(std::string_view text, std::string_view separators) {
  CsvShape best;
  for (const char separator : separators) {
    CsvShape shape = shape_with(text, separator);
    if (shape.understood > best.understood ||
        (best.layout == Layout::none && shape.first_heading.size() > best.first_heading.size()))
      best = std::move(shape);
  }
  return best;
}

Error mixed_signs(std::string_view file, const std::string& where_point,
                  const std::string& where_comma) {
  return bad_input("expected one decimal sign, found a point at " + where_point +
                       " and a comma at " + where_comma +
                       " (thousands separators are not read: write 1234.5)",
                   std::string(file));
}

Result<RawFile> read_csv(std::string_view text, std::string_view file, const ReadOptions& options) {
  constexpr std::string_view separators = ";\t, ";
  // Some spreadsheets name their separator in a line of its own.
  std::string_view rest = text;
  const std::string_view first = take_line(rest);
  if (!lower(trim(first)).starts_with("sep=")) return read_table(text, file, separators, options);
  std::string blanked(text);
  std::fill(blanked.begin(), blanked.begin() + static_cast<std::ptrdiff_t>(first.size()), ' ');
  return read_table(blanked, file, separators, options);
}

Result<RawFile> read_table(std::string_view text, std::string_view file,
                           std::string_view separators, const ReadOptions& options) {
  const CsvShape shape = shape_of(text, separators);
  if (shape.layout == Layout::none)
    return options.wavelengths ? read_bare_values(text, file, separators, *options.wavelengths)
                               : Result<RawFile>(no_heading(text, file, separators, shape));
  auto raw = shape.layout == Layout::rows ? read_csv_rows(text, file, shape)
                                          : read_csv_columns(text, file, shape);
  if (raw && options.wavelengths)
    raw->warn(
        "the table states its wavelengths itself; those that were given beside it are not "
        "used",
        place(file, shape.heading_line));
  return raw;
}

}  // namespace mendtone::formats
