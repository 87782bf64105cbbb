#include <algorithm>
#include <map>
#include <set>

#include "formats/csv.hpp"
#include "mendtone/base/near_names.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/spectral/places.hpp"

namespace mendtone::formats {
namespace {

/// What one column holds.
struct Column {
  Field field = Field::none;
  std::optional<BandHeading> band;
  std::optional<LabHeading> lab;
  std::string heading;
  std::string colorant;

  bool is_numeric() const {
    return band || lab || field == Field::load || field == Field::plies ||
           field == Field::aperture_mm || field == Field::grammage_g_m2;
  }
};

/// Bands of one quantity and one gloss reading: one reading a row.
struct Group {
  Quantity quantity = Quantity::reflectance;
  std::string gloss;
  std::vector<std::size_t> columns;
  FileBands nm;  ///< one a column
};

struct Plan {
  std::vector<Column> columns;
  std::vector<Group> groups;
  std::vector<std::size_t> fields;  ///< the columns that say something else than bands and Lab
  std::vector<std::size_t> lab;     ///< the columns of L, a and b, or empty
  char decimal_sign = '.';
};

std::string column_place(std::string_view file, std::size_t line, std::size_t column,
                         const std::string& heading) {
  return place(file, line, column + 1) + " (" + std::string(trim(heading)) + ")";
}

/// " (is it 'backing'?)": a word that a heading may be a slip for; empty: none is near.
std::string meant_by(std::string_view heading) {
  constexpr std::size_t fewest_letters = 4;
  if (heading.size() < fewest_letters) return {};
  std::vector<std::string> known;
  for (std::string& word : field_words())
    if (word.size() >= fewest_letters) known.push_back(std::move(word));
  const auto near = mendtone::near_names(std::string(heading), known);
  return near.empty() ? "" : " (is it '" + near.front() + "'?)";
}

Column column_from(const std::string& heading) {
  Column column;
  column.heading = heading;
  column.field = field_from(heading);
  if (column.field == Field::load) column.colorant = colorant_of(heading);
  if (column.field == Field::none) column.band = band_heading(heading);
  if (column.field == Field::none && !column.band) column.lab = lab_heading(heading);
  return column;
}

/// What must not stand twice, as a comparable word; empty where twice does no harm.
std::string identity(const Column& column) {
  if (column.field == Field::load) return "load " + column.colorant;
  if (column.field != Field::none && column.field != Field::id)
    return std::string(name_of(column.field));
  if (column.band)
    return "band " + shortest(column.band->nm) + " " + std::string(name_of(column.band->quantity)) +
           " " + column.band->gloss;
  return {};
}

Result<void> check_twice(const Plan& plan, std::string_view file, std::size_t line) {
  std::map<std::string, std::size_t> seen;
  for (std::size_t i = 0; i < plan.columns.size(); ++i) {
    const std::string key = identity(plan.columns[i]);
    if (key.empty()) continue;
    const auto [at, first] = seen.emplace(key, i);
    if (!first)
      return bad_input(
          "expected each heading once, found it also in column " + std::to_string(at->second + 1),
          column_place(file, line, i, plan.columns[i].heading));
  }
  return {};
}

void group_bands(Plan& plan) {
  for (std::size_t i = 0; i < plan.columns.size(); ++i) {
    const auto& band = plan.columns[i].band;
    if (!band) continue;
    const auto same = std::find_if(plan.groups.begin(), plan.groups.end(), [&](const Group& g) {
      return g.quantity == band->quantity && g.gloss == band->gloss;
    });
    Group& group = same != plan.groups.end()
                       ? *same
                       : plan.groups.emplace_back(Group{band->quantity, band->gloss, {}, {}});
    group.columns.push_back(i);
    group.nm.push_back(band->nm);
  }
}

/// The first three columns that make up one Lab; those under other lights are named and left out.
void choose_lab(Plan& plan, std::vector<std::string>& unused) {
  std::optional<LabHeading> chosen;
  std::map<char, std::size_t> axes;
  for (std::size_t i = 0; i < plan.columns.size(); ++i) {
    const auto& lab = plan.columns[i].lab;
    if (!lab) continue;
    if (!chosen) chosen = lab;
    const bool same = lab->light == chosen->light && lab->observer_deg == chosen->observer_deg;
    if (!same || !axes.emplace(lab->axis, i).second) {
      unused.push_back(quoted(trim(plan.columns[i].heading)));
      plan.columns[i].lab.reset();
    }
  }
  if (axes.size() == 3) {
    plan.lab = {axes['L'], axes['a'], axes['b']};
    return;
  }
  for (const auto& [axis, i] : axes) {
    unused.push_back(quoted(trim(plan.columns[i].heading)));
    plan.columns[i].lab.reset();
  }
}

class RowReader {
 public:
  RowReader(std::string_view text, std::string_view file, const CsvShape& shape)
      : text_(text), file_(file), shape_(shape) {}

  Result<RawFile> read() {
    MENDTONE_TRY(plan_columns());
    MENDTONE_TRY(find_decimal_sign());
    CsvRows rows = after_heading();
    CsvRow row;
    raw_.rule = ScaleRule::by_range;
    raw_.refuse_bare_lab = true;
    raw_.tables.emplace_back();
    while (rows.next(row)) {
      ++row_number_;
      MENDTONE_TRY(read_row(row));
    }
    if (auto ok = rows.sound(file_); !ok) return ok.error();
    if (rows.row_like_comment() > 0)
      raw_.warn("a line that begins with # looks like a row and was taken for a comment",
                place(file_, rows.row_like_comment()));
    say_empty_rows();
    say_what_was_found();
    return std::move(raw_);
  }

 private:
  CsvRows after_heading() const {
    CsvRows rows(text_, shape_.separator);
    CsvRow row;
    while (rows.next(row) && row.line < shape_.heading_line) {
    }
    return rows;
  }

  Result<void> plan_columns() {
    CsvRows rows(text_, shape_.separator);
    CsvRow row;
    std::size_t lines_before = 0;
    while (rows.next(row) && row.line < shape_.heading_line) ++lines_before;
    if (lines_before > 0)
      raw_.warn("lines before the heading were not read", place(file_, shape_.heading_line));
    std::vector<std::string> unused;
    for (const std::string& heading : row.cells) {
      plan_.columns.push_back(column_from(heading));
      const Column& column = plan_.columns.back();
      if (column.field != Field::none) plan_.fields.push_back(plan_.columns.size() - 1);
      if (column.field == Field::none && !column.band && !column.lab && !trim(heading).empty())
        unused.push_back(quoted(trim(heading)) + meant_by(trim(heading)));
    }
    group_bands(plan_);
    choose_lab(plan_, unused);
    unused_ = unused;
    if (!unused.empty())
      raw_.warn("columns that no reading has, left out: " + listed(unused), place(file_, row.line));
    return check_twice(plan_, file_, row.line);
  }

  /// A cell with a comma needs quotes where commas part the cells.
  bool may_hold_decimal_commas() const {
    return text_.find(shape_.separator == ',' ? '"' : ',') != std::string_view::npos;
  }

  Result<void> find_decimal_sign() {
    if (!may_hold_decimal_commas()) return {};
    CsvRows rows = after_heading();
    CsvRow row;
    DecimalSign sign;
    std::string where_point, where_comma;
    while (rows.next(row))
      for (std::size_t i = 0; i < std::min(row.cells.size(), plan_.columns.size()); ++i) {
        if (!plan_.columns[i].is_numeric()) continue;
        const bool comma = row.cells[i].find(',') != std::string::npos;
        const bool point = row.cells[i].find('.') != std::string::npos;
        std::string& where = comma ? where_comma : where_point;
        // The first of each kind says it all.
        if ((!comma && !point) || !where.empty()) continue;
        if (sign.look_at(number_part(row.cells[i]))) where = spot_in(file_, row.line, i + 1);
      }
    if (sign.mixed()) return mixed_signs(file_, where_point, where_comma);
    plan_.decimal_sign = sign.sign();
    return {};
  }

  static std::string_view number_part(std::string_view cell) {
    cell = trim(cell);
    if (cell.ends_with('%')) cell.remove_suffix(1);
    return cell;
  }

  static FileBands first_of(const FileBands& bands, std::size_t count) {
    const auto first = bands.list().begin();
    return std::vector<double>(first, first + static_cast<std::ptrdiff_t>(count));
  }

  /// None where the cell states nothing.
  Result<std::optional<double>> number_at(const CsvRow& row, std::size_t i, bool& percent_sign) {
    if (i >= row.cells.size()) return std::optional<double>();
    const std::string_view cell = trim(row.cells[i]);
    if (cell.empty()) return std::optional<double>();
    const auto value = number_in(number_part(cell), plan_.decimal_sign);
    if (!value && is_not_available(cell)) return std::optional<double>();
    if (!value)
      return bad_input("expected a number or a blank, found " + quoted(cell),
                       column_place(file_, row.line, i, plan_.columns[i].heading));
    percent_sign = cell.ends_with('%');
    return std::optional<double>(*value);
  }

  Result<void> check_length(const CsvRow& row) const {
    const std::size_t expected = plan_.columns.size();
    for (std::size_t i = expected; i < row.cells.size(); ++i)
      if (!trim(row.cells[i]).empty())
        return bad_input(
            "expected " + std::to_string(expected) + " cells, as the heading has, found " +
                std::to_string(row.cells.size()) + " (is the separator also the decimal sign?)",
            place(file_, row.line, i + 1));
    for (std::size_t i = row.cells.size(); i < expected; ++i)
      if (plan_.columns[i].band && i > 0 && plan_.columns[i - 1].band && row.cells.size() == i)
        return bad_input("expected " + std::to_string(expected) +
                             " cells, as the heading has, found " +
                             std::to_string(row.cells.size()) + ": the row ends amid its bands",
                         place(file_, row.line, i));
    return {};
  }

  Result<void> read_row(const CsvRow& row) {
    MENDTONE_TRY(check_length(row));
    RawReading base;
    base.reading.source = {std::string(file_), row.line, 0};
    for (const std::size_t i : plan_.fields)
      if (i >= row.cells.size())
        break;
      else if (auto ok = put(plan_.columns[i].field, row.cells[i], plan_.decimal_sign, base); !ok)
        return bad_input(ok.error().message,
                         column_place(file_, row.line, i, plan_.columns[i].heading));
    if (base.reading.name.empty()) base.reading.name = std::to_string(row_number_);
    MENDTONE_TRY(read_loads(row, base.reading));
    MENDTONE_TRY(read_lab(row, base.reading));
    return plan_.groups.size() == 1 ? read_only_group(row, std::move(base))
                                    : read_groups(row, base);
  }

  /// Blank is 0 where the row states any load at all; a row that states none has no loads.
  Result<void> read_loads(const CsvRow& row, Reading& reading) {
    bool any = false, percent = false;
    std::map<std::string, double> loads;
    for (std::size_t i = 0; i < plan_.columns.size(); ++i) {
      if (plan_.columns[i].field != Field::load) continue;
      auto value = MENDTONE_TRY(number_at(row, i, percent));
      if (percent || value.value_or(0) < 0)
        return bad_input("expected a load of 0 or more, found " + quoted(row.cells[i]),
                         column_place(file_, row.line, i, plan_.columns[i].heading));
      any = any || value.has_value();
      loads[plan_.columns[i].colorant] = value.value_or(0);
    }
    if (any) reading.loads = std::move(loads);
    return {};
  }

  Result<void> read_lab(const CsvRow& row, Reading& reading) {
    BoundLab lab = reading.lab.value_or(BoundLab{});
    reading.lab.reset();
    if (plan_.lab.empty()) return {};
    std::size_t stated = 0;
    double* axes[] = {&lab.L, &lab.a, &lab.b};
    for (std::size_t k = 0; k < 3; ++k) {
      bool percent = false;
      auto value = MENDTONE_TRY(number_at(row, plan_.lab[k], percent));
      if (value) *axes[k] = *value;
      stated += value.has_value();
    }
    const Column& column = plan_.columns[plan_.lab[0]];
    if (stated == 0) return {};
    if (stated < 3)
      return bad_input(
          "expected L*, a* and b* together, found " + std::to_string(stated) + " of the three",
          column_place(file_, row.line, plan_.lab[0], column.heading));
    if (lab.L < 0 || lab.L > 150)
      return bad_input("expected an L* of 0 to 100, found " + shortest(lab.L),
                       column_place(file_, row.line, plan_.lab[0], column.heading));
    if (lab.light.empty()) lab.light = column.lab->light;
    if (lab.observer_deg == 0) lab.observer_deg = column.lab->observer_deg;
    reading.lab = lab;
    return {};
  }

  Result<void> read_bands(const CsvRow& row, const Group& group, RawReading& raw) {
    std::size_t with_percent_sign = 0;
    std::optional<Scale> heading_scale;
    raw.nm = group.nm;
    raw.value.reserve(group.columns.size());
    for (std::size_t k = 0; k < group.columns.size(); ++k) {
      const std::size_t i = group.columns[k];
      bool percent_sign = false;
      auto value = MENDTONE_TRY(number_at(row, i, percent_sign));
      if (plan_.columns[i].band->scale) heading_scale = plan_.columns[i].band->scale;
      if (!value) {
        // From the first blank on, the row has wavelengths of its own.
        if (!raw.has_holes) raw.nm = first_of(group.nm, raw.value.size());
        raw.has_holes = true;
        continue;
      }
      with_percent_sign += percent_sign;
      if (raw.has_holes) raw.nm.push_back(plan_.columns[i].band->nm);
      raw.value.push_back(*value);
    }
    if (with_percent_sign > 0) heading_scale = Scale::percent;
    if (with_percent_sign > 0 && with_percent_sign < raw.nm.size())
      return bad_input("expected '%' after every value of the row or after none",
                       place(file_, row.line));
    if (!raw.stated) raw.stated = heading_scale;
    if (raw.has_holes && !raw.nm.empty())
      raw_.warn("blank bands are not stated and left out: " +
                    std::to_string(group.columns.size() - raw.nm.size()) + " of " +
                    std::to_string(group.columns.size()),
                place(file_, row.line));
    return {};
  }

  /// Puts the group's bands into what the row says besides.
  Result<void> read_group(const CsvRow& row, const Group& group, RawReading& raw) {
    MENDTONE_TRY(read_bands(row, group, raw));
    if (raw.nm.empty()) return {};
    // A plain heading leaves the word to a `quantity` column.
    if (plan_.groups.size() > 1 || group.quantity == Quantity::transmittance)
      raw.reading.quantity = group.quantity;
    if (!group.gloss.empty() && raw.reading.geometry.empty())
      raw.reading.geometry =
          group.gloss == "SCI" ? "d/8 specular included" : "d/8 specular excluded";
    return {};
  }

  Result<void> read_only_group(const CsvRow& row, RawReading raw) {
    MENDTONE_TRY(read_group(row, plan_.groups.front(), raw));
    return raw.nm.empty() ? keep_without_bands(row, raw) : raw_.add(std::move(raw));
  }

  Result<void> read_groups(const CsvRow& row, const RawReading& base) {
    bool kept = false;
    for (const Group& group : plan_.groups) {
      RawReading raw = base;
      MENDTONE_TRY(read_group(row, group, raw));
      if (raw.nm.empty()) continue;
      MENDTONE_TRY(raw_.add(std::move(raw)));
      kept = true;
    }
    return kept ? Result<void>() : keep_without_bands(row, base);
  }

  Result<void> keep_without_bands(const CsvRow& row, const RawReading& base) {
    if (base.reading.lab || !base.reading.loads.empty()) return raw_.add(base);
    if (++empty_rows_ == 1) first_empty_row_ = row.line;
    return {};
  }

  void say_empty_rows() {
    if (empty_rows_ > 0)
      raw_.warn(std::to_string(empty_rows_) + (empty_rows_ == 1 ? " row" : " rows") +
                    " without any value left out",
                place(file_, first_empty_row_));
  }

  void say_what_was_found() {
    if (row_number_ == 0) raw_.not_readings.push_back("a heading without rows below it");
    for (const std::string& heading : unused_) raw_.not_readings.push_back("a column " + heading);
    for (const Column& column : plan_.columns)
      if (column.field == Field::load) raw_.not_readings.push_back("loads");
    if (empty_rows_ > 0) raw_.not_readings.push_back("rows without any value");
  }

  std::string_view text_, file_;
  const CsvShape& shape_;
  Plan plan_;
  RawFile raw_;
  std::vector<std::string> unused_;
  std::size_t row_number_ = 0, empty_rows_ = 0, first_empty_row_ = 0;
};

}  // namespace

Result<RawFile> read_csv_rows(std::string_view text, std::string_view file, const CsvShape& shape) {
  return RowReader(text, file, shape).read();
}

}  // namespace mendtone::formats
