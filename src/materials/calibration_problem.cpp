#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/difference.hpp"
#include "mendtone/colour/weights.hpp"
#include "mendtone/materials/backings.hpp"
#include "mendtone/materials/calibration.hpp"
#include "mendtone/materials/sheet.hpp"
#include "mendtone/spectral/reading_set.hpp"

namespace mendtone {
namespace {

constexpr std::size_t least_loads = 3;

bool carries_loads(const Reading& reading) {
  return std::any_of(reading.loads.begin(), reading.loads.end(),
                     [](const auto& load) { return load.second > 0; });
}

bool bare_substrate(const Reading& reading) {
  if (carries_loads(reading)) return false;
  return reading.role == Role::substrate || reading.role == Role::tissue ||
         (reading.role == Role::swatch && !reading.loads.empty());
}

/// What the readings are for, once their roles are known.
struct Sorted {
  std::vector<Reading> backings, bare, swatches;
};

/// Collects every fault before refusing.
class Faults {
 public:
  void add(std::string text) {
    if (seen_.insert(text).second) texts_.push_back(std::move(text));
  }
  bool none() const { return texts_.empty(); }
  Error error() const {
    std::string all;
    for (const std::string& text : texts_) all += (all.empty() ? "" : "; ") + text;
    return bad_input(all);
  }

 private:
  std::set<std::string> seen_;
  std::vector<std::string> texts_;
};

std::string place(const Reading& reading) {
  const std::string where = text_of(reading.source);
  return "'" + reading.name + "'" + (where.empty() ? "" : " (" + where + ")");
}

std::string quoted(const std::set<std::string>& names) {
  std::string text;
  for (const std::string& name : names) text += (text.empty() ? "'" : ", '") + name + "'";
  return text;
}

Sorted sorted(std::span<const Reading> readings, std::vector<Warning>& warnings) {
  Sorted sorted;
  for (const Reading& reading : readings) {
    if (reading.quantity == Quantity::transmittance) {
      warnings.push_back({"a transmittance takes no part in the calibration", place(reading)});
      continue;
    }
    if (carries_loads(reading))
      sorted.swatches.push_back(reading);
    else if (reading.role == Role::backing)
      sorted.backings.push_back(reading);
    else if (bare_substrate(reading))
      sorted.bare.push_back(reading);
    else
      warnings.push_back(
          {"carries no load and is neither backing nor substrate: not used", place(reading)});
  }
  return sorted;
}

/// The bare substrate may be read under M1 and M2 for its brightener; it counts as the swatches do.
void keep_swatches_condition(Sorted& sorted, std::vector<Warning>& warnings) {
  std::set<Condition> conditions;
  for (const Reading& swatch : sorted.swatches)
    if (swatch.condition != Condition::unstated) conditions.insert(swatch.condition);
  if (conditions.size() != 1) return;
  const auto other = [&](const Reading& bare) {
    return bare.condition != Condition::unstated && bare.condition != *conditions.begin();
  };
  if (std::all_of(sorted.bare.begin(), sorted.bare.end(), other)) return;
  for (const Reading& bare : sorted.bare)
    if (other(bare))
      warnings.push_back({"read under " + std::string(name_of(bare.condition)) +
                              ", the swatches under " + std::string(name_of(*conditions.begin())) +
                              ": only looked at for a brightener",
                          place(bare)});
  sorted.bare.erase(std::remove_if(sorted.bare.begin(), sorted.bare.end(), other),
                    sorted.bare.end());
}

/// The different values of one stated fact, blanks left out.
template <class Fact>
std::set<std::string> stated(const std::vector<const Reading*>& readings, Fact fact) {
  std::set<std::string> values;
  for (const Reading* reading : readings)
    if (std::string value(fact(*reading)); !value.empty()) values.insert(std::move(value));
  return values;
}

std::vector<const Reading*> pointers(const std::vector<Reading>& one,
                                     const std::vector<Reading>& two = {}) {
  std::vector<const Reading*> all;
  for (const Reading& reading : one) all.push_back(&reading);
  for (const Reading& reading : two) all.push_back(&reading);
  return all;
}

void check_spectra(const Sorted& sorted, Faults& faults) {
  const WavelengthGrid* grid = nullptr;
  for (const auto* readings : {&sorted.swatches, &sorted.bare, &sorted.backings})
    for (const Reading& reading : *readings) {
      if (!reading.spectrum) {
        faults.add(place(reading) +
                   " has L*a*b* only: a calibration needs spectra; read it as a spectrum");
        continue;
      }
      if (!grid) grid = &reading.spectrum->grid;
      if (*grid != reading.spectrum->grid)
        faults.add(place(reading) + " has other wavelengths than the first reading (" +
                   std::to_string(reading.spectrum->grid.size()) + " bands, expected " +
                   std::to_string(grid->size()) + "): export all with the same ones");
    }
  if (grid && (grid->first() > 400 || grid->last() < 700))
    faults.add("the readings cover " + shortest(grid->first()) + "-" + shortest(grid->last()) +
               " nm; a calibration needs 400-700 nm at least");
}

/// Facts in which all readings of one calibration must agree.
void check_alike(const Sorted& sorted, CalibrationProblem& problem, Faults& faults) {
  const auto toned = pointers(sorted.swatches, sorted.bare);
  for (const Reading* reading : toned)
    if (reading->state == State::wet)
      faults.add(place(*reading) +
                 " was read wet: only dry readings calibrate; let it dry and "
                 "read it again");
  const auto one_only = [&](const std::set<std::string>& values, const std::string& what,
                            const std::string& advice) {
    if (values.size() > 1) faults.add(what + " are mixed: " + quoted(values) + "; " + advice);
    return values.empty() ? std::string() : *values.begin();
  };
  const auto state = one_only(
      stated(toned, [](const Reading& r) { return r.state == State::wet ? "" : name_of(r.state); }),
      "adhesive states", "calibrate each state by itself");
  problem.state = state.empty() ? State::unstated : *state_from(state);
  if (state.empty())
    problem.warnings.push_back({"no reading says its state; taken as all in one state, dry", ""});
  problem.lot = one_only(stated(toned, [](const Reading& r) { return r.lot; }), "tissue lots",
                         "calibrate each lot by itself");
  const auto unit = one_only(
      stated(pointers(sorted.swatches), [](const Reading& r) { return name_of(r.load_unit); }),
      "load units", "state all loads in one unit");
  problem.load_unit = unit.empty() ? LoadUnit::relative : *load_unit_from(unit);
  if (unit.empty())
    problem.warnings.push_back(
        {"no reading says its load unit; the loads are taken as relative numbers", ""});
  one_only(stated(toned, [](const Reading& r) { return name_of(r.condition); }),
           "measurement conditions", "read all under the same");
  const auto geometry = stated(toned, [](const Reading& r) { return r.geometry; });
  one_only(geometry, "geometries", "read all with one instrument");
  if (!geometry.empty())
    problem.specular_included = geometry.begin()->find("includ") != std::string::npos;
  problem.viewing =
      viewing_of(geometry.empty() ? Geometry::unknown : geometry_of(*geometry.begin()));
  const auto stocks = stated(pointers(sorted.swatches), [](const Reading& r) { return r.stock; });
  for (const std::string& stock : stocks)
    problem.stock += (problem.stock.empty() ? "" : ", ") + stock;
}

/// A ladder made from two stocks is two ladders.
void check_stocks(const Sorted& sorted, Faults& faults) {
  std::map<std::string, std::set<std::string>> stocks;
  for (const Reading& reading : sorted.swatches) {
    const auto loaded = [](const auto& load) { return load.second > 0; };
    if (std::count_if(reading.loads.begin(), reading.loads.end(), loaded) != 1) continue;
    const auto only = std::find_if(reading.loads.begin(), reading.loads.end(), loaded);
    if (!reading.stock.empty()) stocks[only->first].insert(reading.stock);
  }
  for (const auto& [colorant, names] : stocks)
    if (names.size() > 1)
      faults.add("the ladder of '" + colorant + "' was made from several stocks: " + quoted(names) +
                 "; calibrate each by itself");
}

/// The backing that a reading names; a nominal one is said.
std::optional<Backing> under(const Reading& reading, const Backings& backings,
                             CalibrationProblem& problem) {
  auto found = backings.find(reading, problem.grid);
  if (!found) return found;
  if (found->nominal)
    problem.warnings.push_back(
        {"'" + found->name + "' was not read; a nominal backing of that name is taken",
         place(reading)});
  problem.backings.emplace(found->name, found->R);
  return found;
}

double spread_of(const Repeats& repeats, const std::vector<double>& mean,
                 const TristimulusWeights& weights) {
  double sum = 0;
  const Lab centre = weights.lab_unchecked(mean);
  for (const Reading& reading : repeats.readings)
    sum += de00(centre, weights.lab_unchecked(reading.spectrum->value));
  return sum / static_cast<double>(repeats.readings.size());
}

/// Variance of one band of one reading, from repeats; none of a single reading.
std::optional<double> variance_of(const Repeats& repeats, const std::vector<double>& mean) {
  const std::size_t n = repeats.readings.size();
  if (n < 2) return std::nullopt;
  double sum = 0;
  for (const Reading& reading : repeats.readings)
    for (std::size_t i = 0; i < mean.size(); ++i)
      sum += (reading.spectrum->value[i] - mean[i]) * (reading.spectrum->value[i] - mean[i]);
  return sum / static_cast<double>((n - 1) * mean.size());
}

double median_of(std::vector<double> values) {
  if (values.empty()) return 0;
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

/// The bare tissue's K and S, from its darkest and its lightest backing.
void find_ply(const Sorted& sorted, const Backings& backings, CalibrationProblem& problem,
              Faults& faults) {
  const std::vector<SheetReadings> sheets = sheets_of(sorted.bare, backings, problem.grid);
  std::set<std::string> names;
  for (const SheetReadings& sheet : sheets) names.insert(sheet.name);
  if (names.size() > 1) {
    faults.add("several bare substrates are given: " + quoted(names) +
               "; keep the one that the swatches were made on");
    return;
  }
  if (sheets.size() > 1) {
    faults.add("the bare '" + *names.begin() +
               "' was read in several manners (lot, state, condition or geometry); keep the one "
               "in which the swatches were read");
    return;
  }
  problem.substrate = sheets.front().name;
  const auto found = body_of(sheets.front());
  if (!found) {
    faults.add("the bare tissue: " + found.error().text());
    return;
  }
  if (!found->body || !found->body->ply) {
    faults.add("the body of the bare '" + problem.substrate + "' is not known: " +
               (found->why_not.empty() ? std::string("its two faces differ") : found->why_not) +
               "; read it over a dark and a light backing. Was the colour painted on top of a "
               "support? Then calibrate it as a film");
    return;
  }
  problem.ply = *found->body->ply;
  const LayerModel many = many_fluxes_of(sheets.front());
  const auto in_many = body_of(sheets.front(), {}, many);
  if (!in_many || !in_many->body || !in_many->body->ply) {
    faults.add("the bare tissue: " + (in_many ? in_many->why_not : in_many.error().text()));
    return;
  }
  problem.many_flux_ply = *in_many->body->ply;
  for (const std::string& text : sheets.front().warnings)
    problem.warnings.push_back({text, problem.substrate});
  for (const std::string& text : found->body->warnings)
    problem.warnings.push_back({text, problem.substrate});
}

void find_support(const Sorted& sorted, CalibrationProblem& problem, Faults& faults) {
  std::set<std::string> names, used;
  for (const Reading& reading : sorted.bare) names.insert(reading.name);
  for (const Reading& reading : sorted.swatches)
    if (!reading.backing.empty()) used.insert(reading.backing);
  if (names.size() > 1 && used.size() != 1) {
    faults.add("several bare supports are given: " + quoted(names) +
               "; name each swatch's own in its backing column");
    return;
  }
  problem.substrate =
      used.size() == 1 && names.count(*used.begin()) ? *used.begin() : *names.begin();
  const auto bare = std::find_if(sorted.bare.begin(), sorted.bare.end(),
                                 [&](const Reading& r) { return r.name == problem.substrate; });
  std::vector<Reading> repeats;
  std::set<std::string> behind;
  for (const Reading& reading : sorted.bare)
    if (reading.name == bare->name) {
      repeats.push_back(reading);
      behind.insert(reading.backing);
    }
  if (behind.size() > 1) {
    faults.add("the bare '" + problem.substrate +
               "' was read over several backings: " + quoted(behind) +
               "; a film is calibrated on a support read over one thing only. Was the colour taken "
               "up by tissue? Then calibrate it as absorbed");
    return;
  }
  const auto mean = mean_spectrum({repeats});
  if (!mean)
    faults.add(mean.error().text());
  else
    problem.support = mean->value;
}

void collect_swatches(const Sorted& sorted, const Backings& backings, CalibrationProblem& problem,
                      Faults& faults) {
  const TristimulusWeights weights =
      *tristimulus_weights(problem.grid, *standard_light("D65"), Observer::deg10);
  const bool film = problem.application == Application::film;
  std::map<std::pair<std::string, std::vector<double>>, std::size_t> place_of;
  std::vector<double> variances;
  for (const Repeats& repeats : group_repeats(sorted.swatches)) {
    const Reading& first = repeats.first();
    const bool on_support = film && (first.backing.empty() || first.backing == problem.substrate);
    std::optional<Backing> below;
    if (on_support)
      below = Backing{problem.substrate, problem.support, false, {}};
    else
      below = under(first, backings, problem);
    if (!below) {
      faults.add("the swatch " + place(first) + " lies on " +
                 (first.backing.empty()
                      ? std::string("an unstated backing")
                      : "'" + first.backing + "', which is not among the readings") +
                 "; name the backing and add its own reading");
      continue;
    }
    std::vector<double> loads;
    for (const std::string& colorant : problem.colorants) {
      const auto load = first.loads.find(colorant);
      loads.push_back(load == first.loads.end() ? 0 : load->second);
    }
    if (std::any_of(loads.begin(), loads.end(), [](double load) { return load < 0; })) {
      faults.add("the swatch " + place(first) + " has a load below 0");
      continue;
    }
    SwatchReading over{mean_spectrum(repeats)->value, below->R, below->name,
                       repeats.readings.size(), 0};
    for (const std::string& words : apart_in_words(repeats))
      problem.warnings.push_back({words, text_of(first.source)});
    over.spread_de00 = spread_of(repeats, over.R, weights);
    if (const auto variance = variance_of(repeats, over.R)) variances.push_back(*variance);
    const auto [at, is_new] =
        place_of.emplace(std::pair{first.name, loads}, problem.swatches.size());
    if (is_new)
      problem.swatches.push_back(
          {first.name, loads, first.plies.value_or(1), {}, text_of(first.source)});
    problem.swatches[at->second].over.push_back(std::move(over));
  }
  // One repeat that stands apart is not to widen them all.
  problem.reading_sd = std::sqrt(median_of(std::move(variances)));
}

/// Each colorant needs three loads, and loads that do not always rise together with another's.
void check_determined(const CalibrationProblem& problem, Faults& faults) {
  for (std::size_t j = 0; j < problem.colorants.size(); ++j) {
    std::set<double> loads;
    for (const CalibrationSwatch& swatch : problem.swatches)
      if (swatch.loads[j] > 0) loads.insert(swatch.loads[j]);
    if (loads.size() < least_loads)
      faults.add("'" + problem.colorants[j] + "' was read at " + std::to_string(loads.size()) +
                 (loads.size() == 1 ? " load" : " loads") +
                 " only; read it at least at three, the strongest about ten times the weakest");
  }
  for (std::size_t j = 0; j < problem.colorants.size(); ++j)
    for (std::size_t i = 0; i < j; ++i) {
      double ii = 0, ij = 0, jj = 0;
      for (const CalibrationSwatch& swatch : problem.swatches) {
        ii += swatch.loads[i] * swatch.loads[i];
        ij += swatch.loads[i] * swatch.loads[j];
        jj += swatch.loads[j] * swatch.loads[j];
      }
      // The cosine between the two columns of loads: 1 where they always rise together.
      if (ij > 0.999 * std::sqrt(ii * jj))
        faults.add("'" + problem.colorants[i] + "' and '" + problem.colorants[j] +
                   "' were always mixed in one proportion and cannot be told apart; read each "
                   "alone, or mixtures of other proportions");
    }
}

}  // namespace

Result<CalibrationProblem> calibration_problem(std::span<const Reading> readings,
                                               Application application) {
  CalibrationProblem problem;
  problem.application = application;
  Faults faults;
  Sorted by_role = sorted(readings, problem.warnings);
  keep_swatches_condition(by_role, problem.warnings);
  if (by_role.swatches.empty())
    faults.add("no reading carries a load; a ladder has columns named load:<colorant>");
  if (by_role.bare.empty())
    faults.add(application == Application::film
                   ? "the bare support is missing: add its reading with role substrate"
                   : "the bare tissue is missing: add its readings, with role substrate, over a "
                     "dark and a light backing");
  check_spectra(by_role, faults);
  check_alike(by_role, problem, faults);
  check_stocks(by_role, faults);
  if (!faults.none()) return faults.error();

  problem.grid = by_role.swatches.front().spectrum->grid;
  std::set<std::string> names;
  for (const Reading& reading : by_role.swatches)
    for (const auto& [colorant, load] : reading.loads)
      if (load > 0 && names.insert(colorant).second) problem.colorants.push_back(colorant);
  std::vector<Reading> behind = by_role.backings;
  if (application == Application::film)
    behind.insert(behind.end(), by_role.bare.begin(), by_role.bare.end());
  const auto backings = MENDTONE_TRY(Backings::from(behind));
  for (const std::string& name : backings.names())
    if (const auto found = backings.find(name, problem.grid))
      problem.backings.emplace(name, found->R);
  if (application == Application::film)
    find_support(by_role, problem, faults);
  else
    find_ply(by_role, backings, problem, faults);
  if (faults.none()) collect_swatches(by_role, backings, problem, faults);
  if (faults.none()) check_determined(problem, faults);
  if (!faults.none()) return faults.error();
  return problem;
}

}  // namespace mendtone
