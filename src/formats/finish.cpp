#include <algorithm>
#include <cmath>
#include <functional>
#include <numeric>
#include <set>

#include "formats/raw.hpp"
#include "formats/text.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/weights.hpp"
#include "mendtone/spectral/limits.hpp"

namespace mendtone::formats {
namespace {

// A tone needs 400-680 nm: of X, the part with most light beyond, 0.6 % lies above. Outside 300-850
// nm no light and no observer has anything to say, and denser than two bands a nm the colour tables
// have nothing to add.
constexpr double tone_first_nm = 400, tone_last_nm = 680;
constexpr double kept_first_nm = 300, kept_last_nm = 850;
constexpr std::size_t most_bands = 1200;
constexpr double widest_gap_nm = 20;
// Rows of a table that states no scale are fractions up to the one where one is above the other: a
// percent of that lies darker than L* 11, which no paper and no tissue is.
constexpr double highest_fraction = 1.2, lowest_telling = 0.02;
// In transmission a board may let half a percent through.
constexpr double lowest_telling_through = 0.3;
// Brightened papers read up to 120 %, fluorescent ones to 160; a lamp's table may go anywhere.
constexpr double highest_percent = 160;

std::string band_text(const RawReading& raw, std::size_t i) {
  return shortest(raw.value[i]) + " at " + shortest(raw.nm[i]) + " nm";
}

std::optional<double> gap_in_the_visible(const RawReading& raw) {
  if (!raw.has_holes || raw.nm.size() < 3) return std::nullopt;
  const double usual = (raw.nm.back() - raw.nm.front()) / static_cast<double>(raw.nm.size() - 1);
  for (std::size_t i = 1; i < raw.nm.size(); ++i) {
    const double step = raw.nm[i] - raw.nm[i - 1];
    if (raw.nm[i] > tone_first_nm && raw.nm[i - 1] < tone_last_nm && step > widest_gap_nm + 1e-6 &&
        step > 1.5 * usual)
      return raw.nm[i - 1];
  }
  return std::nullopt;
}

Result<void> check_gap(const RawReading& raw) {
  const auto gap = gap_in_the_visible(raw);
  if (!gap) return {};
  return bad_input("expected bands without a hole, found nothing for more than 20 nm after " +
                       shortest(*gap) + " nm",
                   text_of(raw.reading.source));
}

bool covers_tone(const RawReading& raw) {
  return raw.nm.size() >= 2 && raw.nm.front() <= tone_first_nm && raw.nm.back() >= tone_last_nm;
}

/// L* of the reading if its numbers are `scale`, under the Lab's own light, or D50 where it states
/// none: between percent and fraction L* differs by far more than between lights.
std::optional<double> lightness_if(const RawReading& raw, Scale scale,
                                   const std::optional<TristimulusWeights>& weights) {
  if (!weights || weights->grid.size() != raw.nm.size()) return std::nullopt;
  std::vector<double> R = raw.value;
  if (scale == Scale::percent)
    for (double& value : R) value /= 100;
  return weights->lab_unchecked(R).L;
}

std::optional<TristimulusWeights> weights_for(const RawReading& raw) {
  auto grid = WavelengthGrid::from_nm(raw.nm.list());
  if (!grid) return std::nullopt;
  const BoundLab& bound = *raw.reading.lab;
  auto light = standard_light(bound.light.empty() ? "D50" : bound.light);
  if (!light) return std::nullopt;
  auto weights = tristimulus_weights(*grid, *light,
                                     bound.observer_deg == 10 ? Observer::deg10 : Observer::deg2);
  if (!weights) return std::nullopt;
  return *std::move(weights);
}

struct LabVerdict {
  std::optional<Scale> scale;
  bool neither = false;
  std::string where;
};

/// The scale under which the spectra give the L* that stands beside them. Five readings tell.
LabVerdict scale_by_lab(const RawTable& table) {
  constexpr double near_L = 3, darkest_telling_L = 10;
  std::size_t fraction = 0, percent = 0, neither = 0;
  std::string where;
  for (const RawReading& raw : table) {
    if (!raw.reading.lab || !covers_tone(raw) || raw.reading.quantity != Quantity::reflectance)
      continue;
    const auto weights = weights_for(raw);
    const auto as_fraction = lightness_if(raw, Scale::fraction, weights);
    const auto as_percent = lightness_if(raw, Scale::percent, weights);
    if (!as_fraction || !as_percent) continue;
    if (where.empty()) where = text_of(raw.reading.source);
    const double L = raw.reading.lab->L;
    // Near black every scale agrees, and 0 0 0 is what programs write for 'not measured'.
    if (L < darkest_telling_L) continue;
    const double f = std::abs(*as_fraction - L), p = std::abs(*as_percent - L);
    if (std::min(f, p) > near_L)
      ++neither;
    else if (std::max(f, p) > 2 * near_L)
      ++(f < p ? fraction : percent);
    if (fraction + percent + neither == 5) break;
  }
  if (fraction > 0 && percent == 0) return {Scale::fraction, false, where};
  if (percent > 0 && fraction == 0) return {Scale::percent, false, where};
  return {std::nullopt, neither > 0, where};
}

struct Highest {
  double value = 0;
  const RawReading* raw = nullptr;
};

Highest highest_of(const RawTable& table, bool unstated_only) {
  Highest highest;
  for (const RawReading& raw : table) {
    if (unstated_only && raw.stated) continue;
    for (std::size_t i = 0; i < raw.value.size(); ++i)
      if (!highest.raw || raw.value[i] > highest.value) highest = {raw.value[i], &raw};
  }
  return highest;
}

std::string_view word(Scale scale) {
  return scale == Scale::percent ? "percent" : "fractions";
}

/// What the values themselves say, by the format's rule; the warning says what was taken.
Result<Scale> scale_by_values(const RawTable& table, ScaleRule rule, std::string_view file,
                              RawFile& file_raw) {
  const Highest highest = highest_of(table, true);
  const std::string found = "the highest value is " + shortest(highest.value);
  const std::string where = highest.raw ? text_of(highest.raw->reading.source) : std::string(file);
  if (highest.value > file_raw.percent_above && highest.value > highest_percent)
    return no_reading(file, {"values up to " + shortest(highest.value) +
                             ", neither fractions nor percent of a perfect diffuser"});
  if (highest.value > file_raw.percent_above) {
    file_raw.warn("no scale is stated; read as percent, since " + found, where);
    return Scale::percent;
  }
  if (rule != ScaleRule::by_range) return Scale::fraction;
  if (highest.value <= highest_fraction && highest.value > lowest_telling) {
    file_raw.warn("no scale is stated; read as fractions, since " + found, where);
    return Scale::fraction;
  }
  return bad_input("expected fractions or percent, but " + found +
                       ", which could be either: say --scale fraction or --scale percent, or add "
                       "a 'scale' column",
                   where);
}

double highest_in(const RawReading& raw) {
  return *std::max_element(raw.value.begin(), raw.value.end());
}

/// As percent it would be blacker than any paper, tissue or paint. Only what lies behind them
/// (velvet, a light trap) may be: what is one by its role, or is named as one by other rows.
bool is_plainly_fraction(const RawReading& raw, const std::set<std::string>& behind) {
  const Reading& reading = raw.reading;
  if (raw.value.empty() || has_role(reading, {Role::backing, Role::substrate}) ||
      behind.count(reading.name) > 0)
    return false;
  const double highest = highest_in(raw);
  return highest <= highest_fraction &&
         highest >
             (reading.quantity == Quantity::reflectance ? lowest_telling : lowest_telling_through);
}

/// Names of what lies behind others, in this table.
std::set<std::string> named_as_backings(const RawTable& table) {
  std::set<std::string> behind;
  for (const RawReading& raw : table)
    if (!raw.reading.backing.empty()) behind.insert(raw.reading.backing);
  return behind;
}

Error not_percent(const RawReading& raw, bool stated, bool by_hand) {
  return bad_input("expected percent, as " +
                       std::string(stated ? "was stated" : "other rows of this file are") +
                       ", found a row whose highest value is " + shortest(highest_in(raw)) +
                       ": plainly fractions. Give them in one scale" +
                       (by_hand ? ", or say it row by row in a column 'scale'" : ""),
                   text_of(raw.reading.source));
}

/// One scale for the whole table unless a row states its own.
Result<void> settle_scale(RawTable& table, RawFile& file_raw, std::string_view file,
                          const ReadOptions& options) {
  const bool any = std::any_of(table.begin(), table.end(),
                               [](const RawReading& raw) { return !raw.value.empty(); });
  if (!any) return {};
  const LabVerdict by_lab = scale_by_lab(table);
  if (by_lab.neither)
    file_raw.warn(
        "the spectrum gives an L* more than 3 away from the L* beside it, as fraction and "
        "as percent alike",
        by_lab.where);
  const auto otherwise = std::find_if(table.begin(), table.end(), [&](const RawReading& raw) {
    return options.scale && raw.stated && *raw.stated != *options.scale;
  });
  if (otherwise != table.end() && !by_lab.scale)
    file_raw.warn("read as " + std::string(word(*(*otherwise).stated)) +
                      ", as the file itself says, and not as " + std::string(word(*options.scale)),
                  text_of((*otherwise).reading.source));
  std::optional<Scale> unstated = options.scale;
  if (by_lab.scale) {
    bool contradicted = options.scale && *options.scale != *by_lab.scale;
    for (RawReading& raw : table) {
      contradicted = contradicted || (raw.stated && *raw.stated != *by_lab.scale);
      if (raw.reading.lab) raw.stated = by_lab.scale;
    }
    if (contradicted)
      file_raw.warn("read as " + std::string(word(*by_lab.scale)) +
                        ", against the scale that was stated: only so do the spectra give the L* "
                        "that stands beside them",
                    by_lab.where);
    unstated = by_lab.scale;
  }
  const bool all_stated = std::all_of(table.begin(), table.end(), [](const RawReading& raw) {
    return raw.stated || raw.value.empty();
  });
  if (!all_stated && !unstated) {
    auto by_values = MENDTONE_TRY(scale_by_values(table, file_raw.rule, file, file_raw));
    unstated = by_values;
  }
  // Rows of a CSV come from several hands. What an instrument wrote has one scale, in which a row
  // may be as black as it likes.
  const bool by_hand = file_raw.rule == ScaleRule::by_range;
  const bool may_be_fractions = by_hand || highest_of(table, true).value <= highest_fraction;
  const std::set<std::string> behind = named_as_backings(table);
  for (RawReading& raw : table) {
    if (raw.stated) continue;
    raw.stated = unstated;
    if (*unstated == Scale::percent && may_be_fractions && is_plainly_fraction(raw, behind))
      return not_percent(raw, options.scale.has_value(), by_hand);
  }
  return {};
}

/// What no sheet can do is another quantity, or another scale than was stated.
Result<void> check_range(const RawReading& raw) {
  for (std::size_t i = 0; i < raw.nm.size(); ++i) {
    if (raw.nm[i] < tone_first_nm || raw.nm[i] > tone_last_nm) continue;
    const double fraction = *raw.stated == Scale::percent ? raw.value[i] / 100 : raw.value[i];
    if (fraction > 3 || fraction < -0.1)
      return bad_input("expected " + std::string(name_of(raw.reading.quantity)) + " in " +
                           std::string(word(*raw.stated)) + ", found " + band_text(raw, i) +
                           ": no sheet does that (a lamp, a raw signal, or another scale?)",
                       text_of(raw.reading.source));
  }
  return {};
}

/// Counts of what was done to many readings alike, said once.
struct Tally {
  std::size_t descending = 0, trimmed = 0, thinned = 0, negative = 0, above_white = 0;
  std::string first_descending, first_trimmed, first_thinned, first_negative, first_above_white;

  static void count(std::size_t& n, std::string& first, const RawReading& raw) {
    if (n++ == 0) first = text_of(raw.reading.source);
  }
};

void say(const Tally& tally, RawFile& raw) {
  const auto readings = [](std::size_t n) {
    return n == 1 ? std::string("one reading") : std::to_string(n) + " readings";
  };
  if (tally.trimmed > 0)
    raw.warn("bands outside 300-850 nm, which no colour depends on, left out of " +
                 readings(tally.trimmed),
             tally.first_trimmed);
  if (tally.thinned > 0)
    raw.warn(
        "bands denser than the colour tables averaged within each nm in " + readings(tally.thinned),
        tally.first_thinned);
  if (tally.above_white > 0)
    raw.warn(
        "an L* above 100, lighter than the perfect diffuser (a brightener, a gloss, or a "
        "slip?), in " +
            readings(tally.above_white),
        tally.first_above_white);
  if (tally.negative > 0)
    raw.warn("values a little below 0 kept as they are in " + readings(tally.negative),
             tally.first_negative);
}

/// A reading's bands as they are kept; false where none of them are.
Result<bool> shape_bands(RawReading& raw, bool alone, Tally& tally, RawFile& file) {
  if (raw.nm.size() > 1 && raw.nm.front() > raw.nm.back())
    Tally::count(tally.descending, tally.first_descending, raw);
  std::vector<double>& nm = raw.nm.own();
  MENDTONE_TRY(make_rise(nm, raw.value, raw.reading.source));
  const double first = nm.front(), last = nm.back();
  if (trim_to_sight(nm, raw.value) && covers_tone(raw))
    Tally::count(tally.trimmed, tally.first_trimmed, raw);
  if (!covers_tone(raw)) {
    file.not_readings.push_back(
        (raw.what.empty() ? "a spectrum of " + nm_range(first, last) : raw.what) +
        " (a tone needs 400-680 nm)");
    if (raw.reading.lab || !alone)
      file.warn(
          "the spectrum covers " + nm_range(first, last) + "; a tone needs 400-680 nm; left out",
          text_of(raw.reading.source));
    return false;
  }
  MENDTONE_TRY(check_gap(raw));
  if (thin_out(nm, raw.value)) Tally::count(tally.thinned, tally.first_thinned, raw);
  return true;
}

void take_bands_away(RawReading& raw) {
  raw.nm.clear();
  raw.value.clear();
}

Result<void> shape(RawTable& table, Tally& tally, RawFile& file) {
  // Wavelengths that needed nothing, and what others became: readings that have them share them.
  FileBands needs_nothing, kept;
  for (RawReading& raw : table) {
    if (raw.emission) {
      file.not_readings.push_back("emission");
      take_bands_away(raw);
      raw.reading.lab.reset();
    }
    if (raw.nm.empty()) continue;
    if (raw.nm.shares(needs_nothing)) {
      MENDTONE_TRY(check_gap(raw));
      continue;
    }
    const FileBands as_read = raw.nm;
    if (!MENDTONE_TRY(shape_bands(raw, table.size() == 1, tally, file))) {
      take_bands_away(raw);
    } else if (raw.nm.list() == as_read.list()) {
      needs_nothing = raw.nm = as_read;
    } else if (raw.nm.list() == kept.list()) {
      raw.nm = kept;
    } else {
      kept = raw.nm;
    }
  }
  return {};
}

bool is_bound(const BoundLab& lab) {
  return !lab.light.empty() && lab.observer_deg != 0;
}

/// A Lab without its light and observer can be compared with nothing.
Error unbound_lab(const RawReading& raw) {
  const BoundLab& lab = *raw.reading.lab;
  const bool neither = lab.light.empty() && lab.observer_deg == 0;
  return bad_input("expected L*a*b* with its light and observer, found it without " +
                       std::string(neither             ? "either"
                                   : lab.light.empty() ? "a light that is known"
                                                       : "an observer"),
                   text_of(raw.reading.source));
}

/// What no sheet can be, with its limits.
Result<void> check_possible(const Reading& reading) {
  const std::string where = text_of(reading.source);
  if (reading.lab) {
    const BoundLab& lab = *reading.lab;
    if (const std::string wrong = fault_of_lab(lab.L, lab.a, lab.b); !wrong.empty())
      return bad_input(wrong, where);
  }
  if (reading.grammage_g_m2 &&
      !(*reading.grammage_g_m2 >= 0 && *reading.grammage_g_m2 <= highest_grammage_g_m2))
    return bad_input("a weight must be from 0 to " + shortest(highest_grammage_g_m2) +
                         " g/m2; found " + shortest(*reading.grammage_g_m2),
                     where);
  for (const std::string* text : {&reading.name, &reading.backing, &reading.lot})
    if (!text->empty())
      if (const std::string wrong = fault_of_text(*text, true); !wrong.empty())
        return bad_input("a name " + wrong, where);
  return {};
}

/// Makes readings of what was shaped; those that share wavelengths share a grid.
class Finisher {
 public:
  Result<Reading> reading_of(RawReading& raw) {
    MENDTONE_TRY(check_possible(raw.reading));
    Reading reading = std::move(raw.reading);
    if (raw.nm.empty()) return reading;
    if (!raw.nm.shares(nm_)) {
      auto grid = WavelengthGrid::from_nm(raw.nm.list());
      if (!grid) return bad_input(grid.error().message, text_of(reading.source));
      grid_ = *std::move(grid);
      nm_ = raw.nm;
    }
    if (*raw.stated == Scale::percent)
      for (double& value : raw.value) value /= 100;
    reading.spectrum = Spectrum{grid_, std::move(raw.value)};
    return reading;
  }

 private:
  FileBands nm_;
  WavelengthGrid grid_;
};

/// Spreadsheets carry rows that sum up the rows above.
bool sums_up(const Reading& reading) {
  static constexpr std::string_view words[] = {"mean",
                                               "average",
                                               "avg",
                                               "median",
                                               "sd",
                                               "stdev",
                                               "stddev",
                                               "min",
                                               "minimum",
                                               "max",
                                               "maximum",
                                               "variance",
                                               "standarddeviation",
                                               "std",
                                               "cv",
                                               "range"};
  if (reading.role != Role::unstated) return false;
  const std::string name = squeezed(reading.name);
  return std::find(std::begin(words), std::end(words), name) != std::end(words);
}

/// Left out, and said; kept where the file holds nothing else.
void leave_summaries_out(ReadFile& file) {
  std::vector<std::string> names;
  std::string first;
  for (const Reading& reading : file.readings)
    if (sums_up(reading)) {
      if (names.empty()) first = text_of(reading.source);
      if (std::find(names.begin(), names.end(), reading.name) == names.end())
        names.push_back(reading.name);
    }
  const auto rest = std::stable_partition(file.readings.begin(), file.readings.end(),
                                          [](const Reading& r) { return !sums_up(r); });
  if (names.empty() || rest == file.readings.begin()) return;
  file.readings.erase(rest, file.readings.end());
  file.warnings.push_back({"rows named " + listed(names) +
                               " sum up others and are left out; a row that is a reading of its "
                               "own needs another name, or a role",
                           first});
}

}  // namespace

Result<void> make_rise(std::vector<double>& nm, std::vector<double>& value, const Source& source) {
  const auto falls = std::adjacent_find(nm.begin(), nm.end(), std::greater_equal<>());
  if (falls == nm.end()) return {};
  std::vector<std::size_t> order(nm.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return nm[a] < nm[b]; });
  std::vector<double> sorted_nm, sorted_value;
  sorted_nm.reserve(nm.size());
  sorted_value.reserve(nm.size());
  for (const std::size_t i : order) {
    if (!sorted_nm.empty() && nm[i] == sorted_nm.back())
      return bad_input("expected each wavelength once, found " + shortest(nm[i]) + " nm twice",
                       text_of(source));
    sorted_nm.push_back(nm[i]);
    sorted_value.push_back(value[i]);
  }
  nm = std::move(sorted_nm);
  value = std::move(sorted_value);
  return {};
}

bool trim_to_sight(std::vector<double>& nm, std::vector<double>& value) {
  const auto low = std::lower_bound(nm.begin(), nm.end(), kept_first_nm) - nm.begin();
  const auto high = std::upper_bound(nm.begin(), nm.end(), kept_last_nm) - nm.begin();
  if (low == 0 && high == std::ssize(nm)) return false;
  nm = std::vector<double>(nm.begin() + low, nm.begin() + std::max(low, high));
  value = std::vector<double>(value.begin() + low, value.begin() + std::max(low, high));
  return true;
}

bool thin_out(std::vector<double>& nm, std::vector<double>& value) {
  if (nm.size() <= most_bands) return false;
  std::vector<double> thin_nm, thin_value;
  for (std::size_t i = 0; i < nm.size();) {
    const double centre = std::round(nm[i]);
    double sum = 0, count = 0;
    for (; i < nm.size() && std::round(nm[i]) == centre; ++i, ++count) sum += value[i];
    thin_nm.push_back(centre);
    thin_value.push_back(sum / count);
  }
  nm = std::move(thin_nm);
  value = std::move(thin_value);
  return true;
}

Error no_reading(std::string_view file, const std::vector<std::string>& found) {
  std::vector<std::string> once;
  std::set<std::string_view> seen;
  for (const std::string& item : found)
    if (seen.insert(item).second) once.push_back(item);
  return bad_input("no reading in " + std::string(file) + ": found " +
                   (once.empty() ? "nothing that is a reading" : listed(once, 6)) +
                   "; expected reflectance, transmittance or L*a*b* in the visible");
}

Error too_much_for_a_file(const std::string& where) {
  return bad_input("expected at most " + std::to_string(most_readings) + " readings and " +
                       std::to_string(most_values) +
                       " values in one file, found more: cut it into several files",
                   where);
}

Result<void> RawFile::add(RawReading raw) {
  ++readings;
  values += raw.nm.size();
  if (raw.nm.list() == newest.list())
    raw.nm = newest;
  else
    newest = raw.nm;
  if (readings > most_readings || values > most_values)
    return too_much_for_a_file(text_of(raw.reading.source));
  tables.back().push_back(std::move(raw));
  return {};
}

Result<ReadFile> finish(RawFile raw, std::string_view file, const ReadOptions& options) {
  Tally tally;
  Finisher finisher;
  ReadFile result;
  std::size_t unbound_labs = 0;
  std::string first_unbound;
  std::optional<Error> first_bare;
  for (auto& table : raw.tables) {
    if (auto ok = shape(table, tally, raw); !ok) return ok.error();
    if (auto ok = settle_scale(table, raw, file, options); !ok) return ok.error();
    result.readings.reserve(result.readings.size() + table.size());
    auto taken = table.take_each([&](RawReading& one) -> Result<void> {
      if (auto ok = check_range(one); !ok) return ok;
      if (std::any_of(one.value.begin(), one.value.end(), [](double v) { return v < 0; }))
        Tally::count(tally.negative, tally.first_negative, one);
      if (one.reading.lab && !is_bound(*one.reading.lab)) {
        if (one.nm.empty() && raw.refuse_bare_lab) return unbound_lab(one);
        if (one.nm.empty() && !first_bare) first_bare = unbound_lab(one);
        Tally::count(unbound_labs, first_unbound, one);
        one.reading.lab.reset();
      }
      const bool loads_alone = options.loads_alone && !one.reading.loads.empty();
      if (one.nm.empty() && !one.reading.lab && !loads_alone) return {};
      if (one.reading.lab && one.reading.lab->L > 100)
        Tally::count(tally.above_white, tally.first_above_white, one);
      auto reading = finisher.reading_of(one);
      if (!reading) return reading.error();
      result.readings.push_back(*std::move(reading));
      return {};
    });
    if (!taken) return taken.error();
  }
  say(tally, raw);
  if (unbound_labs > 0)
    raw.warn("L*a*b* beside the spectra states no light and observer and is left out",
             first_unbound);
  if (result.readings.empty() && first_bare) return *first_bare;
  if (result.readings.empty()) return no_reading(file, raw.not_readings);
  result.warnings = std::move(raw.warnings);
  leave_summaries_out(result);
  return result;
}

}  // namespace mendtone::formats
