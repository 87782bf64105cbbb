#include "formats/cgats.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include "formats/csv.hpp"
#include "formats/lamps.hpp"
#include "formats/text.hpp"
#include "formats/words.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/weights.hpp"

namespace mendtone::formats {
namespace {

/// What a header says of every reading below it.
struct Conditions {
  RawReading base;
  std::string light;
  int observer_deg = 0;
  bool by_standard = false;  ///< light and observer follow from what the file is
};

bool says_no(std::string_view words) {
  return is_one_of(trim(words), {"no", "none", "off", "false", "0", "not used", "without", "n/a"});
}

/// All values of a key, for those that may stand more than once.
template <class Use>
void each_value(const CgatsTable& table, std::initializer_list<std::string_view> keys, Use use) {
  for (const std::string_view key : keys) {
    const auto at = table.header.find(std::string(key));
    if (at == table.header.end()) continue;
    for (const CgatsValue& value : at->second) use(value.text);
  }
}

void read_light_and_observer(const CgatsTable& table, Conditions& c) {
  each_value(table, {"WEIGHTING_FUNCTION", "COMPUTATIONAL_PARAMETER"}, [&](const std::string& v) {
    if (holds(v, "observer") || holds(v, "/"))
      c.observer_deg = observer_in(v).value_or(c.observer_deg);
    if (!holds(v, "observer") || holds(v, "illum")) c.light = light_in(v).value_or(c.light);
  });
  each_value(table, {"ILLUMINANT", "ILLUMINATION_NAME", "ILLUMINANT_NAME", "LIGHT"},
             [&](const std::string& v) { c.light = light_in(v).value_or(c.light); });
  each_value(table, {"OBSERVER", "OBSERVER_ANGLE", "STANDARD_OBSERVER"}, [&](const std::string& v) {
    c.observer_deg = observer_in(v).value_or(c.observer_deg);
  });
  // Some programs put the weighting beside the lamp: 'Illumination=D50 ObserverAngle=2°'.
  each_value(table, {"MEASUREMENT_SOURCE"}, [&](const std::string& v) {
    const auto at = lower(v).find("observer");
    if (at == std::string::npos) return;
    if (c.observer_deg == 0) c.observer_deg = observer_in(v.substr(at)).value_or(0);
    if (c.light.empty()) c.light = light_in(v).value_or("");
  });
}

void read_condition(const CgatsTable& table, Reading& r) {
  each_value(table,
             {"MEASUREMENT_SOURCE", "MEASUREMENT_CONDITION", "MEASUREMENT_CONDITIONS",
              "MEASUREMENT_MODE", "ILLUMINATION_CONDITION", "FILTER", "FILTER_STATUS", "CONDITION"},
             [&](const std::string& v) {
               if (const auto condition = condition_in(v)) r.condition = *condition;
             });
  each_value(table, {"POLARIZATION", "POLARISATION", "POLARIZATION_FILTER"},
             [&](const std::string& v) {
               if (!says_no(v) && r.condition == Condition::unstated) r.condition = Condition::m3;
             });
}

Conditions conditions_of(const CgatsTable& table) {
  Conditions c;
  Reading& r = c.base.reading;
  // Our own columns may stand in the header, for all rows at once.
  for (const auto& [key, values] : table.header) {
    const Field field = field_from(key);
    if (is_one_of(name_of(field),
                  {"name", "id", "light", "observer", "condition", "load", "scale"}))
      continue;
    if (field != Field::none) (void)put(field, values.back().text, '.', c.base);
  }
  for (const char* key :
       {"TARGET_INSTRUMENT", "MEASUREMENT_DEVICE", "INSTRUMENT", "INSTRUMENTATION"})
    if (const std::string value = table.last(key); !value.empty()) r.instrument = value;
  read_condition(table, r);
  read_light_and_observer(table, c);
  // IT8.7 defines its values for D50 and the 2 degree observer.
  c.by_standard = table.kind.starts_with("IT8.7") && c.light.empty() && c.observer_deg == 0;
  if (c.by_standard) {
    c.light = "D50";
    c.observer_deg = 2;
  }
  each_value(table,
             {"MEASUREMENT_TYPE", "MEAS_TYPE", "MEASUREMENT_MODE", "SAMPLE_TYPE", "SPECTRUM_TYPE"},
             [&](const std::string& v) {
               if (holds(v, "transmi")) r.quantity = Quantity::transmittance;
             });
  return c;
}

/// Named samples with no value above 1.2: what sheets look like and lamps do not.
bool looks_like_sheets(const CgatsTable& table) {
  const bool named = std::any_of(table.fields.begin(), table.fields.end(), [](const auto& field) {
    const Field f = field_from(field.text);
    return f == Field::name || f == Field::id;
  });
  for (const auto& row : table.rows)
    for (std::size_t i = 0; i < row.size(); ++i)
      if (band_heading(table.fields[i].text))
        if (const auto value = number_in(row[i].text, '.'); !value || *value > 1.2) return false;
  return named;
}

/// What the table itself says it is, where that is no reading of a sheet; empty otherwise.
std::string not_a_sheet(const CgatsTable& table) {
  std::string found;
  each_value(table,
             {"MEASUREMENT_TYPE", "MEAS_TYPE", "MEASUREMENT_MODE", "DEVICE_CLASS", "SPECTRUM_TYPE"},
             [&](const std::string& v) {
               if (holds(v, "emiss") || holds(v, "emitt") || holds(v, "display") ||
                   holds(v, "ambient") || holds(v, "flash"))
                 found = "emission (" + v + ")";
             });
  if (found.empty() && other_quantity_in(table.last("DESCRIPTOR")) == "spectral power")
    found = "spectral power";
  if (table.header.contains("LUMINANCE_XYZ_CDM2")) found = "emission in cd/m2";
  if (table.kind == "CCSS") found = "emission spectra of a display";
  if (table.kind == "CCMX") found = "a correction matrix";
  if (table.kind == "CMF") found = "an observer's colour matching functions";
  if (table.kind == "CAL") found = "calibration curves";
  // This kind holds lamps as often as sheets, and only its header can tell.
  if (table.kind == "SPECT" && found.empty()) {
    bool stated = false;
    each_value(table, {"MEASUREMENT_TYPE", "MEAS_TYPE"}, [&](const std::string& v) {
      stated = stated || quantity_in(v) || holds(v, "reflect") || holds(v, "transmi");
    });
    if (!stated && !looks_like_sheets(table))
      found = "a spectrum that is not said to be reflectance or transmittance";
  }
  return found;
}

/// Said to be reflectance or transmittance, or with columns that only readings of sheets have.
bool says_sheet(const CgatsTable& table) {
  bool said = false;
  each_value(table, {"MEASUREMENT_TYPE", "MEAS_TYPE", "MEASUREMENT_MODE", "SPECTRUM_TYPE"},
             [&](const std::string& v) { said = said || quantity_in(v); });
  for (const CgatsToken& field : table.fields) {
    const Field own = field_from(field.text);
    said = said || holds(field.text, "LAB_") || own == Field::role || own == Field::backing ||
           own == Field::state || own == Field::load;
  }
  return said;
}

/// What a table asked for lamps is instead; empty where it may hold them.
std::string not_a_lamp(const CgatsTable& table) {
  if (is_one_of(table.kind, {"CCMX", "CMF", "CAL"})) return not_a_sheet(table);
  if (says_sheet(table)) return "readings of sheets";
  std::string unit;
  each_value(table, {"SPECTRAL_UNIT", "UNITS", "UNIT", "SPECTRUM_TYPE", "MEASUREMENT_TYPE"},
             [&](const std::string& v) {
               if (const auto reason = not_power(v)) unit = *reason;
             });
  return unit;
}

struct FieldUse {
  Field field = Field::none;
  std::optional<BandHeading> band;
  char lab = 0;  ///< 'L', 'a', 'b'
  char xyz = 0;  ///< 'X', 'Y', 'Z'
  bool pair_nm = false, pair_value = false;
  std::optional<Scale> pair_scale;
  std::string colorant;

  bool is_numeric() const {
    return band || lab || xyz || pair_nm || pair_value || field == Field::load ||
           field == Field::plies || field == Field::aperture_mm || field == Field::grammage_g_m2;
  }
};

FieldUse use_of(std::string_view name) {
  FieldUse use;
  for (const char axis : {'L', 'A', 'B'})
    if (is_one_of(name, {std::string("LAB_") + axis, std::string("CIELAB_") + axis,
                         std::string("LAB_") + axis + "*"}))
      use.lab = axis == 'L' ? 'L' : static_cast<char>(axis - 'A' + 'a');
  for (const char axis : {'X', 'Y', 'Z'})
    if (same_word(name, std::string("XYZ_") + axis)) use.xyz = axis;
  if (use.lab || use.xyz) return use;
  if (is_one_of(name, {"SPECTRAL_NM", "SPECTRALNM", "NM"})) {
    use.pair_nm = true;
    return use;
  }
  if (is_one_of(name, {"SPECTRAL_DEC", "SPECTRAL_PCT", "SPECTRAL_DECIMAL", "SPECTRAL_PERCENT"})) {
    use.pair_value = true;
    // 'DEC' is not believed against a value above 2, so only percent counts as stated.
    if (holds(name, "PCT") || holds(name, "PERCENT")) use.pair_scale = Scale::percent;
    return use;
  }
  use.field = field_from(name);
  if (use.field == Field::load) use.colorant = colorant_of(name);
  if (use.field == Field::none) use.band = band_heading(name);
  return use;
}

/// A band number after a plain word: 'SPEC_1', 'R12', 'BAND_3'; or the plain word alone.
bool is_plain_band(std::string_view name) {
  std::size_t n = name.size();
  while (n > 0 && name[n - 1] >= '0' && name[n - 1] <= '9') --n;
  std::string_view word = name.substr(0, n);
  while (!word.empty() && (word.back() == '_' || word.back() == '.')) word.remove_suffix(1);
  return is_one_of(word, {"SPEC", "SPECTRAL", "R", "BAND", "NM", "SPECTRUM", "REFL", "REFLECTANCE",
                          "SPECTRAL_DEC", "SPECTRAL_PCT", "SPECTRAL_NM", "SPECTRAL_BAND"});
}

class TableReader {
 public:
  TableReader(CgatsTable& table, std::string_view file, Wanted wanted, RawFile& raw)
      : table_(table), file_(file), wanted_(wanted), raw_(raw), conditions_(conditions_of(table)) {}

  Result<void> read(const Conditions* before) {
    carry_over(before);
    if (conditions_.by_standard)
      raw_.warn("light and observer are not stated; D50 and 2 degrees, as IT8.7 has them",
                place(file_, table_.line));
    plan();
    MENDTONE_TRY(find_decimal_sign());
    MENDTONE_TRY(header_grid());
    say_unused();
    const std::size_t first = raw_.tables.size();
    raw_.tables.emplace_back();
    std::size_t row_number = 0;
    // Each row's words are given back as soon as they are read: there are millions in a large file.
    for (auto& row : table_.rows) {
      MENDTONE_TRY(read_row(row, ++row_number));
      std::vector<CgatsToken>().swap(row);
    }
    if (raw_.tables[first].empty()) raw_.tables.pop_back();
    return {};
  }

  const Conditions& conditions() const { return conditions_; }

 private:
  std::string at(const CgatsToken& token, std::size_t i) const {
    return place(file_, token.line, token.column) + " (" + std::string(table_.fields[i].text) + ")";
  }

  /// A later table that is silent where an earlier one spoke means the same conditions.
  void carry_over(const Conditions* before) {
    if (!before) return;
    std::vector<std::string> carried;
    const auto carry = [&](auto& mine, const auto& theirs, const char* what) {
      if (mine != std::decay_t<decltype(mine)>{} || theirs == std::decay_t<decltype(mine)>{})
        return;
      mine = theirs;
      carried.emplace_back(what);
    };
    Reading& r = conditions_.base.reading;
    const Reading& b = before->base.reading;
    carry(r.condition, b.condition, "condition");
    carry(r.geometry, b.geometry, "geometry");
    carry(r.backing, b.backing, "backing");
    carry(r.instrument, b.instrument, "instrument");
    carry(conditions_.light, before->light, "light");
    carry(conditions_.observer_deg, before->observer_deg, "observer");
    if (!carried.empty())
      raw_.warn(
          "this table does not state its " + listed(carried) + "; taken from the table before it",
          place(file_, table_.line));
  }

  void plan() {
    for (const CgatsToken& field : table_.fields) uses_.push_back(use_of(field.text));
    // A lone SPECTRAL_NM or SPECTRAL_DEC is a plain band, not half of a pair.
    const auto count = [&](auto member) {
      return std::count_if(uses_.begin(), uses_.end(),
                           [&](const FieldUse& u) { return u.*member; });
    };
    pairs_ =
        count(&FieldUse::pair_nm) > 0 && count(&FieldUse::pair_nm) == count(&FieldUse::pair_value);
    if (!pairs_)
      for (FieldUse& use : uses_) use.pair_nm = use.pair_value = false;
  }

  Result<void> find_decimal_sign() {
    DecimalSign sign;
    std::string where_point, where_comma;
    for (const auto& row : table_.rows)
      for (std::size_t i = 0; i < row.size(); ++i) {
        if (!uses_[i].is_numeric() || !sign.look_at(row[i].text)) continue;
        const bool comma = row[i].text.find(',') != std::string_view::npos;
        const bool point = row[i].text.find('.') != std::string_view::npos;
        std::string& where = comma ? where_comma : where_point;
        if ((comma || point) && where.empty())
          where =
              "line " + std::to_string(row[i].line) + ", column " + std::to_string(row[i].column);
      }
    if (sign.mixed()) return mixed_signs(file_, where_point, where_comma);
    decimal_sign_ = sign.sign();
    return {};
  }

  std::optional<double> header_number(const char* key) const {
    const std::string text = table_.last(key);
    DecimalSign sign;
    sign.look_at(text);
    return number_in(text, sign.sign());
  }

  /// SPECTRAL_BANDS with its first and last wavelength: gives plain fields their wavelengths, and
  /// rounded ones their decimals back.
  Result<void> header_grid() {
    const auto bands = header_number("SPECTRAL_BANDS");
    const auto first = header_number("SPECTRAL_START_NM");
    const auto last = header_number("SPECTRAL_END_NM");
    if (const auto norm = header_number("SPECTRAL_NORM")) {
      if (*norm == 100) conditions_.base.stated = Scale::percent;
      if (*norm == 1) conditions_.base.stated = Scale::fraction;
    }
    if (!bands || !first || !last || *bands < 2 || *first <= 0 || *last <= *first) return {};
    std::vector<std::size_t> fields = band_fields();
    if (fields.empty()) fields = plain_fields();
    if (fields.empty()) return {};
    if (static_cast<double>(fields.size()) != *bands) {
      raw_.warn("SPECTRAL_BANDS says " + shortest(*bands) + ", found " +
                    std::to_string(fields.size()) + " fields with bands",
                place(file_, table_.line));
      return {};
    }
    const double step = (*last - *first) / (*bands - 1);
    for (std::size_t k = 0; k < fields.size(); ++k) {
      FieldUse& use = uses_[fields[k]];
      const double nm = *first + step * static_cast<double>(k);
      if (!use.band) use.band.emplace().nm = nm;
      // A field's name is whole nm; the header knows the decimals.
      if (use.band->nm == std::round(use.band->nm) && std::abs(use.band->nm - nm) < 1)
        use.band->nm = nm;
    }
    return {};
  }

  std::vector<std::size_t> band_fields() const {
    std::vector<std::size_t> fields;
    for (std::size_t i = 0; i < uses_.size(); ++i)
      if (uses_[i].band) fields.push_back(i);
    return fields;
  }

  std::vector<std::size_t> plain_fields() const {
    std::vector<std::size_t> fields;
    for (std::size_t i = 0; i < uses_.size(); ++i)
      if (uses_[i].field == Field::none && !uses_[i].lab && !uses_[i].xyz &&
          is_plain_band(table_.fields[i].text))
        fields.push_back(i);
    return fields;
  }

  void say_unused() {
    std::vector<std::string> unused;
    for (std::size_t i = 0; i < uses_.size(); ++i) {
      const FieldUse& use = uses_[i];
      if (use.field != Field::none || use.is_numeric()) continue;
      unused.emplace_back(table_.fields[i].text);
      raw_.not_readings.push_back("fields " + quoted(table_.fields[i].text));
    }
    if (!unused.empty() && !table_.rows.empty())
      raw_.warn("fields that no reading has, left out: " + listed(unused),
                place(file_, table_.fields.front().line));
    if (table_.rows.empty()) raw_.not_readings.push_back("a table without rows");
  }

  Result<std::optional<double>> number_at(const std::vector<CgatsToken>& row, std::size_t i) const {
    const std::string_view text = trim(row[i].text);
    if (text.empty() || is_not_available(text)) return std::optional<double>();
    const auto value = number_in(text, decimal_sign_);
    if (!value) return bad_input("expected a number, found " + quoted(text), at(row[i], i));
    return std::optional<double>(*value);
  }

  Result<void> read_row(const std::vector<CgatsToken>& row, std::size_t row_number) {
    RawReading raw = conditions_.base;
    raw.reading.source = {std::string(file_), row.front().line, 0};
    raw.reading.lab.reset();
    raw.stated = conditions_.base.stated;
    Triple lab, xyz;
    MENDTONE_TRY(read_numbers(row, raw, lab, xyz));
    for (std::size_t i = 0; i < row.size(); ++i)
      if (auto ok = put(uses_[i].field, row[i].text, decimal_sign_, raw); !ok)
        say_unput(row, i, ok);
    // A light or observer in the row is already in the Lab that it opened.
    BoundLab bound = raw.reading.lab.value_or(BoundLab{});
    raw.reading.lab.reset();
    if (bound.light.empty()) bound.light = conditions_.light;
    if (bound.observer_deg == 0) bound.observer_deg = conditions_.observer_deg;
    if (wanted_ == Wanted::lamps)
      set_lamp(row, raw, xyz);
    else
      set_lab(raw, bound, lab, xyz);
    if (raw.reading.name.empty()) raw.reading.name = joined_ids(row);
    if (raw.reading.name.empty()) raw.reading.name = std::to_string(row_number);
    if (raw.nm.empty() && !raw.reading.lab) return {};
    return raw_.add(std::move(raw));
  }

  /// SAMPLE_ID1, SAMPLE_ID2 … name a sample together.
  std::string joined_ids(const std::vector<CgatsToken>& row) const {
    std::string name;
    for (std::size_t i = 0; i < row.size(); ++i)
      if (lower(table_.fields[i].text).starts_with("sample_id") && !trim(row[i].text).empty())
        name += (name.empty() ? "" : " ") + std::string(trim(row[i].text));
    return name;
  }

  struct Triple {
    double value[3] = {0, 0, 0};
    int count = 0;
  };

  Result<void> read_numbers(const std::vector<CgatsToken>& row, RawReading& raw, Triple& lab,
                            Triple& xyz) const {
    std::optional<double> pair_nm;
    for (std::size_t i = 0; i < row.size(); ++i) {
      const FieldUse& use = uses_[i];
      if (!use.is_numeric() || use.field != Field::none) {
        if (use.field == Field::load) MENDTONE_TRY(read_load(row, i, raw.reading));
        continue;
      }
      auto value = MENDTONE_TRY(number_at(row, i));
      if (use.pair_nm) pair_nm = value;
      if (!value) {
        raw.has_holes = raw.has_holes || use.band.has_value();
        continue;
      }
      if (use.pair_value) {
        if (!pair_nm)
          return bad_input("expected SPECTRAL_NM before the value, found none", at(row[i], i));
        if (*pair_nm <= 0)
          return bad_input("expected a wavelength in nm, found " + shortest(*pair_nm),
                           at(row[i], i));
        raw.nm.push_back(*pair_nm);
        raw.value.push_back(*value);
        if (use.pair_scale) raw.stated = use.pair_scale;
        pair_nm.reset();
      } else if (use.band) {
        raw.nm.push_back(use.band->nm);
        raw.value.push_back(*value);
        if (use.band->quantity == Quantity::transmittance)
          raw.reading.quantity = use.band->quantity;
      } else if (use.lab) {
        lab.value[use.lab == 'L' ? 0 : use.lab == 'a' ? 1 : 2] = *value;
        ++lab.count;
      } else if (use.xyz) {
        xyz.value[use.xyz - 'X'] = *value;
        ++xyz.count;
      }
    }
    return {};
  }

  Result<void> read_load(const std::vector<CgatsToken>& row, std::size_t i,
                         Reading& reading) const {
    auto value = MENDTONE_TRY(number_at(row, i));
    if (value.value_or(0) < 0)
      return bad_input("expected a load of 0 or more, found " + quoted(row[i].text), at(row[i], i));
    if (value) reading.loads[uses_[i].colorant] = *value;
    return {};
  }

  /// Foreign files may use our column's names for something else: then the column is not read.
  void say_unput(const std::vector<CgatsToken>& row, std::size_t i, const Result<void>& fault) {
    if (!said_unput_.insert(i).second) return;
    raw_.warn(fault.error().message + "; not read", at(row[i], i));
  }

  void set_lab(RawReading& raw, BoundLab bound, const Triple& lab, const Triple& xyz) {
    if (lab.count == 3) {
      bound.L = lab.value[0];
      bound.a = lab.value[1];
      bound.b = lab.value[2];
      raw.reading.lab = bound;
    } else if (xyz.count == 3 && raw.nm.empty() && !bound.light.empty() &&
               bound.observer_deg != 0) {
      lab_from_xyz(raw, bound, {xyz.value[0], xyz.value[1], xyz.value[2]});
    } else if (xyz.count == 3 && raw.nm.empty()) {
      raw_.not_readings.push_back("XYZ without its light and observer");
    }
  }

  /// A table of one lamp may be named in its header alone.
  void set_lamp(const std::vector<CgatsToken>& row, RawReading& raw, const Triple& xyz) const {
    raw.emission = true;
    raw.what = table_.last("DESCRIPTOR");
    if (table_.rows.size() == 1 && raw.reading.name.empty()) {
      raw.reading.name = table_.last("DISPLAY");
      if (raw.reading.name.empty()) raw.reading.name = raw.what;
    }
    const double sum = xyz.value[0] + xyz.value[1] + xyz.value[2];
    if (xyz.count == 3 && sum > 0) {
      raw.x = xyz.value[0] / sum;
      raw.y = xyz.value[1] / sum;
    }
    Lamp stated;
    for (const auto& [key, values] : table_.header)
      if (const Stated what = stated_by(lower(key)); what != Stated::none)
        put_stated(what, values.back().text, stated);
    for (std::size_t i = 0; i < row.size(); ++i) {
      if (same_word(table_.fields[i].text, "XYY_X")) put_stated(Stated::x, row[i].text, stated);
      if (same_word(table_.fields[i].text, "XYY_Y")) put_stated(Stated::y, row[i].text, stated);
      if (stated_by(lower(table_.fields[i].text)) == Stated::cct)
        put_stated(Stated::cct, row[i].text, stated);
    }
    if (stated.stated_x) raw.x = stated.stated_x;
    if (stated.stated_y) raw.y = stated.stated_y;
    raw.cct_K = stated.stated_cct_K;
  }

  void lab_from_xyz(RawReading& raw, BoundLab bound, const Xyz& xyz) {
    if (white_for_ != bound.light + std::to_string(bound.observer_deg)) {
      white_for_ = bound.light + std::to_string(bound.observer_deg);
      const auto light = standard_light(bound.light);
      const auto weights =
          tristimulus_weights(WavelengthGrid::equal_steps(360, 5, 95), *light,
                              bound.observer_deg == 10 ? Observer::deg10 : Observer::deg2);
      white_ = weights->white;
      raw_.warn("L*a*b* computed from XYZ, Y of the perfect diffuser taken as 100",
                place(file_, raw.reading.source.line));
    }
    const Lab lab = xyz_to_lab(xyz, white_);
    bound.L = lab.L;
    bound.a = lab.a;
    bound.b = lab.b;
    raw.reading.lab = bound;
  }

  CgatsTable& table_;
  std::string_view file_;
  Wanted wanted_;
  RawFile& raw_;
  Conditions conditions_;
  std::vector<FieldUse> uses_;
  std::set<std::size_t> said_unput_;
  std::string white_for_;
  Xyz white_;
  bool pairs_ = false;
  char decimal_sign_ = '.';
};

}  // namespace

Result<RawFile> read_cgats(std::string_view text, std::string_view file, Wanted wanted) {
  auto parsed = MENDTONE_TRY(parse_cgats(text, file));
  RawFile raw;
  raw.warnings = std::move(parsed.warnings);
  std::optional<Conditions> before;
  for (CgatsTable& table : parsed.tables) {
    const std::string other = wanted == Wanted::lamps ? not_a_lamp(table) : not_a_sheet(table);
    if (!other.empty()) {
      raw.not_readings.push_back(other);
      raw.warn("a table was left out: it holds " + other, place(file, table.line));
      continue;
    }
    TableReader reader(table, file, wanted, raw);
    MENDTONE_TRY(reader.read(before ? &*before : nullptr));
    before = reader.conditions();
  }
  return raw;
}

}  // namespace mendtone::formats
