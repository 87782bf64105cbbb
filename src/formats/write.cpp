#include "mendtone/formats/write.hpp"

#include <algorithm>
#include <functional>
#include <set>
#include <vector>

#include "formats/csv.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone {
namespace {

using namespace formats;

/// A column: its heading and the text of a reading's cell, empty where it states nothing.
struct OutColumn {
  std::string heading;
  std::function<std::string(const Reading&)> cell;
  bool is_number = false;
};

std::string number(const std::optional<double>& value) {
  return value ? shortest(*value) : "";
}

template <class E>
std::string word(E value) {
  return std::string(name_of(value));
}

/// Every column but loads, Lab and bands.
std::vector<OutColumn> fact_columns() {
  using R = const Reading&;
  const auto heading = [](Field field) { return std::string(formats::name_of(field)); };
  return {
      {heading(Field::name), [](R r) { return r.name; }},
      {heading(Field::repeat), [](R r) { return r.repeat; }},
      {heading(Field::role), [](R r) { return word(r.role); }},
      {heading(Field::quantity),
       [](R r) { return r.quantity == Quantity::transmittance ? word(r.quantity) : ""; }},
      {heading(Field::backing), [](R r) { return r.backing; }},
      {heading(Field::plies), [](R r) { return r.plies ? std::to_string(*r.plies) : ""; }, true},
      {heading(Field::side), [](R r) { return word(r.side); }},
      {heading(Field::state), [](R r) { return word(r.state); }},
      {heading(Field::geometry), [](R r) { return r.geometry; }},
      {heading(Field::condition), [](R r) { return word(r.condition); }},
      {heading(Field::instrument), [](R r) { return r.instrument; }},
      {heading(Field::aperture_mm), [](R r) { return number(r.aperture_mm); }, true},
      {heading(Field::lot), [](R r) { return r.lot; }},
      {heading(Field::stock), [](R r) { return r.stock; }},
      {heading(Field::series), [](R r) { return r.series; }},
      {heading(Field::grammage_g_m2), [](R r) { return number(r.grammage_g_m2); }, true},
      {heading(Field::bleeds), [](R r) { return !r.bleeds   ? ""
                                                : *r.bleeds ? "yes"
                                                            : "no"; }},
      {heading(Field::load_unit), [](R r) { return word(r.load_unit); }},
      {heading(Field::light), [](R r) { return r.lab ? r.lab->light : ""; }},
      {heading(Field::observer),
       [](R r) { return r.lab ? std::to_string(r.lab->observer_deg) : ""; }},
  };
}

void add_loads(std::vector<OutColumn>& columns, std::span<const Reading> readings) {
  std::set<std::string> colorants;
  for (const Reading& r : readings)
    for (const auto& [colorant, load] : r.loads) colorants.insert(colorant);
  for (const std::string& colorant : colorants)
    columns.push_back({"load:" + colorant,
                       [colorant](const Reading& r) {
                         const auto load = r.loads.find(colorant);
                         return load == r.loads.end() ? "" : shortest(load->second);
                       },
                       true});
}

void add_lab(std::vector<OutColumn>& columns, const char* const (&headings)[3]) {
  using Axis = double BoundLab::*;
  const Axis axes[] = {&BoundLab::L, &BoundLab::a, &BoundLab::b};
  for (int k = 0; k < 3; ++k)
    columns.push_back(
        {headings[k],
         [axis = axes[k]](const Reading& r) { return r.lab ? shortest((*r.lab).*axis) : ""; },
         true});
}

void add_scale(std::vector<OutColumn>& columns) {
  columns.push_back({std::string(formats::name_of(Field::scale)),
                     [](const Reading& r) { return std::string(r.spectrum ? "fraction" : ""); }});
}

/// Columns in which no reading states anything are left out; the first, the name, stays.
void drop_empty(std::vector<OutColumn>& columns, std::span<const Reading> readings) {
  const auto empty = [&](const OutColumn& column) {
    return std::all_of(readings.begin(), readings.end(),
                       [&](const Reading& r) { return column.cell(r).empty(); });
  };
  columns.erase(std::remove_if(columns.begin() + 1, columns.end(), empty), columns.end());
}

/// The text of the reading's band at `nm`; readings are asked in rising order of `nm`.
class BandCells {
 public:
  explicit BandCells(const Reading& reading) : spectrum_(reading.spectrum) {}

  std::string at(double nm) {
    if (!spectrum_ || next_ >= spectrum_->grid.size() || spectrum_->grid.nm()[next_] != nm)
      return "";
    return shortest(spectrum_->value[next_++]);
  }

 private:
  const std::optional<Spectrum>& spectrum_;
  std::size_t next_ = 0;
};

std::set<double> all_wavelengths(std::span<const Reading> readings) {
  std::set<double> nm;
  for (const Reading& r : readings)
    if (r.spectrum) nm.insert(r.spectrum->grid.nm().begin(), r.spectrum->grid.nm().end());
  return nm;
}

std::string csv_cell(const std::string& text) {
  if (text.find_first_of(",\"\r\n;\t#") == std::string::npos && text == trim(text)) return text;
  std::string quoted = "\"";
  for (const char c : text) quoted += c == '"' ? std::string("\"\"") : std::string(1, c);
  return quoted + "\"";
}

std::string cgats_text(const std::string& text) {
  std::string quoted = "\"";
  for (const char c : text) quoted += c == '"' ? '\'' : c == '\n' || c == '\r' ? ' ' : c;
  return quoted + "\"";
}

std::string upper(std::string text) {
  for (char& c : text)
    if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
  return text;
}

/// The CGATS field of one of our columns: its own name for names, else ours in capitals; a
/// colorant keeps its spelling.
std::string cgats_field(const OutColumn& column) {
  if (column.heading == formats::name_of(Field::name)) return "SAMPLE_NAME";
  if (column.heading.starts_with("load:")) return cgats_text("LOAD:" + column.heading.substr(5));
  return upper(column.heading);
}

bool is_own_field(const std::string& field) {
  return field != "SAMPLE_NAME" && !field.starts_with("LAB_");
}

/// A line of the header that says one fact of all readings, in the words of CGATS.17 where it has
/// any: other programs look there.
struct HeaderFact {
  std::string heading;  ///< of the column that it stands for
  std::string lines;
};

std::optional<std::string> header_line(Field field, const std::string& value) {
  const auto line = [](const char* key, const std::string& text) {
    return std::string(key) + "\t" + cgats_text(text) + "\n";
  };
  switch (field) {
    case Field::backing:
      return line("SAMPLE_BACKING", value);
    case Field::geometry:
      return line("MEASUREMENT_GEOMETRY", value);
    case Field::condition:
      return line("MEASUREMENT_SOURCE", value);
    case Field::instrument:
      return line("INSTRUMENTATION", value);
    case Field::light:
      return line("WEIGHTING_FUNCTION", "ILLUMINANT, " + value);
    case Field::observer:
      return line("WEIGHTING_FUNCTION", "OBSERVER, " + value + " degree");
    default:
      return std::nullopt;
  }
}

/// The facts that are the same in every reading of the file. One that only some tables share stays
/// in the rows: a reader may carry a header's words on to the next table.
std::vector<HeaderFact> header_facts(std::span<const Reading> readings) {
  std::vector<HeaderFact> facts;
  for (const OutColumn& column : fact_columns()) {
    const std::string value = column.cell(readings.front());
    const bool shared =
        !value.empty() && std::all_of(readings.begin(), readings.end(),
                                      [&](const Reading& r) { return column.cell(r) == value; });
    if (!shared) continue;
    if (auto line = header_line(field_from(column.heading), value))
      facts.push_back({column.heading, *std::move(line)});
  }
  return facts;
}

std::string cgats_table(std::span<const Reading> readings, const std::vector<HeaderFact>& facts) {
  std::vector<OutColumn> columns = fact_columns();
  columns.erase(std::remove_if(columns.begin(), columns.end(),
                               [&](const OutColumn& column) {
                                 return std::any_of(facts.begin(), facts.end(),
                                                    [&](const HeaderFact& fact) {
                                                      return fact.heading == column.heading;
                                                    });
                               }),
                columns.end());
  add_loads(columns, readings);
  add_lab(columns, {"LAB_L", "LAB_A", "LAB_B"});
  const std::set<double> nm = all_wavelengths(readings);
  // A fraction above 2 would be taken for percent.
  const bool high = std::any_of(readings.begin(), readings.end(), [](const Reading& r) {
    return r.spectrum && std::any_of(r.spectrum->value.begin(), r.spectrum->value.end(),
                                     [](double v) { return v > 2; });
  });
  if (high) add_scale(columns);
  drop_empty(columns, readings);
  std::string text = "CGATS.17\n\nORIGINATOR\t\"mendtone\"\n", format;
  for (const HeaderFact& fact : facts) text += fact.lines;
  for (const OutColumn& column : columns) {
    const std::string field = cgats_field(column);
    if (is_own_field(field))
      text += "KEYWORD\t" + (field.front() == '"' ? field : cgats_text(field)) + "\n";
    format += (format.empty() ? "" : "\t") + field;
  }
  for (const double wavelength : nm) format += "\tSPECTRAL_NM" + shortest(wavelength);
  text += "NUMBER_OF_FIELDS\t" + std::to_string(columns.size() + nm.size()) +
          "\nBEGIN_DATA_FORMAT\n" + format + "\nEND_DATA_FORMAT\nNUMBER_OF_SETS\t" +
          std::to_string(readings.size()) + "\nBEGIN_DATA\n";
  for (const Reading& r : readings) {
    std::string row;
    for (const OutColumn& column : columns) {
      const std::string cell = column.cell(r);
      row +=
          (row.empty() ? "" : "\t") + (column.is_number && !cell.empty() ? cell : cgats_text(cell));
    }
    BandCells bands(r);
    for (const double wavelength : nm) row += "\t" + bands.at(wavelength);
    text += row + "\n";
  }
  return text + "END_DATA\n";
}

bool same_wavelengths(const Reading& a, const Reading& b) {
  if (!a.spectrum || !b.spectrum) return a.spectrum.has_value() == b.spectrum.has_value();
  return a.spectrum->grid == b.spectrum->grid;
}

}  // namespace

std::string readings_to_csv(std::span<const Reading> readings) {
  std::vector<OutColumn> columns = fact_columns();
  add_loads(columns, readings);
  add_lab(columns, {"L*", "a*", "b*"});
  add_scale(columns);
  drop_empty(columns, readings);
  const std::set<double> nm = all_wavelengths(readings);
  std::string text;
  for (const OutColumn& column : columns)
    text += (text.empty() ? "" : ",") + csv_cell(column.heading);
  for (const double wavelength : nm) text += "," + shortest(wavelength);
  text += "\n";
  for (const Reading& r : readings) {
    std::string row;
    for (std::size_t i = 0; i < columns.size(); ++i)
      row += (i > 0 ? "," : "") + csv_cell(columns[i].cell(r));
    BandCells bands(r);
    for (const double wavelength : nm) row += "," + bands.at(wavelength);
    text += row + "\n";
  }
  return text;
}

std::string readings_to_cgats(std::span<const Reading> readings) {
  std::string text;
  if (readings.empty()) return text;
  const std::vector<HeaderFact> facts = header_facts(readings);
  for (std::size_t from = 0; from < readings.size();) {
    std::size_t to = from + 1;
    while (to < readings.size() && same_wavelengths(readings[from], readings[to])) ++to;
    text += (text.empty() ? "" : "\n") + cgats_table(readings.subspan(from, to - from), facts);
    from = to;
  }
  return text;
}

}  // namespace mendtone
