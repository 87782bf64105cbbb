#include "mendtone/app/tone/difference.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <set>

#include "app/inputs/text.hpp"
#include "mendtone/app/tone/tone.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/grey_scale.hpp"
#include "mendtone/colour/repeats.hpp"
#include "mendtone/spectral/comparable.hpp"
#include "mendtone/spectral/doubts.hpp"

namespace mendtone::app {
namespace {

/// Two groups of one name that may be compared, brought to one grid.
struct Match {
  Repeats before, after;
  std::size_t bands_extrapolated = 0;
  std::vector<std::string> warnings;
};

/// How repeats of like spots spread, for spots that were read too seldom to show it themselves.
class LikeReadings {
 public:
  void add(const std::string& name, const std::vector<Lab>& each) {
    if (each.size() < 2) return;
    double sum = 0;
    for (std::size_t i = 1; i < each.size(); ++i)
      for (std::size_t j = 0; j < i; ++j) {
        const double d = de00(each[i], each[j]);
        sum += d * d;
      }
    const auto n = static_cast<double>(each.size());
    spots_.push_back({name, sum / (n * (n - 1) / 2), n - 1});
  }

  /// Mean DeltaE00 between two readings of one spot, over all spots but that of `name`; none where
  /// they are too few to say.
  std::optional<double> without(const std::string& name) const {
    constexpr double enough = 6;  // degrees of freedom: the size is then known to a third
    double sum = 0, freedom = 0;
    for (const Spot& spot : spots_) {
      if (spot.name == name) continue;
      sum += spot.freedom * spot.mean_square;
      freedom += spot.freedom;
    }
    if (freedom < enough) return std::nullopt;
    // Of a vector that spreads alike on three axes, the mean length is so much of the root of the
    // mean square.
    const double mean_of_root = std::sqrt(8 / (3 * std::numbers::pi));
    return mean_of_root * std::sqrt(sum / freedom);
  }

 private:
  struct Spot {
    std::string name;
    double mean_square = 0, freedom = 0;
  };
  std::vector<Spot> spots_;
};

class Work {
 public:
  Work(const Viewing& viewing, const ChangeSettings& settings) : viewing_(viewing) {
    answer.settings = settings;
    answer.tolerance_origin = tolerance_origin(settings);
    answer.observer_deg = degrees(viewing.observer);
    for (const Light& light : viewing.lights) {
      shelves.emplace_back(light, viewing.observer);
      answer.lights.push_back(results::named(light));
    }
  }

  std::vector<WeightsShelf> shelves;
  DifferenceAnswer answer;

  /// Takes note of how repeats spread, before anything is compared.
  Result<void> look_at(const std::vector<Repeats>& groups);
  Result<void> compare(const Match& match);

 private:
  Result<void> compare_spectra(const Match& match);
  Result<void> compare_bound(const Match& match, const BoundLab& bound);
  Pair pair_of(const Match& match, const std::string& light, int observer_deg,
               const RepeatedColour& before, const RepeatedColour& after) const;
  Result<std::vector<results::MetamerismUnder>> metamerism(const Match& match);

  const Viewing& viewing_;
  LikeReadings like_;
};

/// Where the repeatability comes from, where it counts: stated, or seen on like readings.
std::string spread_text(SpreadFrom from, const ChangeSettings& settings, bool stated) {
  switch (from) {
    case SpreadFrom::covariance:
      return {};
    case SpreadFrom::pooled_axes:
      return "few repeats: how lightness, chroma and hue spread is hardly known, and the interval "
             "is "
             "wide for that reason";
    case SpreadFrom::with_repeatability:
      return "fewer than three readings on a side: " +
             std::string(stated ? "the stated repeatability" : "the spread of the other spots") +
             " counts beside their own, " + fixed(settings.repeatability_de00, 2) +
             " DeltaE00 between two readings of one spot";
    case SpreadFrom::stated:
      break;
  }
  return "one reading on each side tells nothing of spread: " +
         fixed(settings.single_reading_de00, 2) +
         " DeltaE00 is assumed between two readings of one spot (common practice, no source)";
}

void add_outliers(const Repeats& repeats, const RepeatedColour& colour, const char* when,
                  Pair& pair) {
  for (const Outlier& outlier : colour.outliers)
    pair.warnings.push_back("repeat " + repeat_label(repeats, outlier.index) + " " + when +
                            " stands apart by " + fixed(outlier.de00, 2) +
                            " DeltaE00; it is still in the mean");
}

Pair Work::pair_of(const Match& match, const std::string& light, int observer_deg,
                   const RepeatedColour& before, const RepeatedColour& after) const {
  Pair pair;
  pair.name = match.before.name();
  pair.light = light;
  pair.observer_deg = observer_deg;
  pair.before = before.lab;
  pair.after = after.lab;
  pair.n_before = before.each.size();
  pair.n_after = after.each.size();
  pair.spread_before_de00 = before.spread_de00;
  pair.spread_after_de00 = after.spread_de00;
  pair.region_before = mean_region95(before.each);
  pair.region_after = mean_region95(after.each);
  pair.de_ab = de_ab(before.lab, after.lab);
  pair.parts = signed_difference(before.lab, after.lab);
  ChangeSettings settings = answer.settings;
  const bool stated = settings.repeatability_de00 > 0;
  if (!stated && std::min(pair.n_before, pair.n_after) < 3)
    settings.repeatability_de00 = like_.without(pair.name).value_or(0);
  pair.change = *change({before.lab, before.each}, {after.lab, after.each}, settings);
  const GreyScale grey = grey_scale(before.lab, after.lab);
  pair.grey_scale = {std::string(grey.step), grey.rating, grey.deF};
  pair.bands_extrapolated = match.bands_extrapolated;
  pair.conditions = conditions_of(match.before.first());
  pair.warnings = match.warnings;
  if (auto text = spread_text(pair.change.spread_from, settings, stated); !text.empty())
    pair.warnings.push_back(std::move(text));
  add_outliers(match.before, before, "before", pair);
  add_outliers(match.after, after, "after", pair);
  for (const Brightener& found : answer.brighteners)
    if (found.flagged && found.name == pair.name && light != "D50")
      pair.warnings.push_back("a brightener was found (M1 against M2): the difference under " +
                              light + " cannot be predicted from these readings, only under D50");
  return pair;
}

Result<std::vector<results::MetamerismUnder>> Work::metamerism(const Match& match) {
  std::vector<results::MetamerismUnder> found;
  const WavelengthGrid& grid = match.before.first().spectrum->grid;
  const auto reference = shelves.front().at(grid);
  if (!reference) return reference.error();
  const Spectrum standard = *mean_spectrum(match.before), sample = *mean_spectrum(match.after);
  for (std::size_t i = 1; i < shelves.size(); ++i) {
    const auto test = shelves[i].at(grid);
    if (!test) return test.error();
    found.push_back({shelves.front().light().name, shelves[i].light().name,
                     de00(*(*test)->lab(standard.value), *(*test)->lab(sample.value)),
                     *metamerism_index(standard.value, sample.value, **reference, **test)});
  }
  return found;
}

Result<void> Work::compare_spectra(const Match& match) {
  for (WeightsShelf& shelf : shelves) {
    const auto weights = shelf.at(match.before.first().spectrum->grid);
    if (!weights) {
      answer.refused.push_back({match.before.name(), shelf.light().name, weights.error().message});
      continue;
    }
    Pair pair = pair_of(match, shelf.light().name, degrees(shelf.observer()),
                        *repeated_colour(match.before, **weights),
                        *repeated_colour(match.after, **weights));
    if (&shelf == &shelves.front()) {
      auto indices = metamerism(match);
      if (!indices) return indices.error();
      pair.metamerism = *std::move(indices);
    }
    answer.pairs.push_back(std::move(pair));
  }
  return {};
}

Result<RepeatedColour> colour_under(const Repeats& repeats, const BoundLab& bound) {
  if (!repeats.spectral()) return bound_colour(repeats);
  const auto light = standard_light(bound.light);
  if (!light) return light.error();
  const auto observer = observer_from_degrees(bound.observer_deg);
  if (!observer) return observer.error();
  WeightsShelf shelf(*light, *observer);
  const auto weights = shelf.at(repeats.first().spectrum->grid);
  if (!weights) return weights.error();
  return repeated_colour(repeats, **weights);
}

/// Where either side is L*a*b* only, the pair exists under that light and observer, nowhere else.
Result<void> Work::compare_bound(const Match& match, const BoundLab& bound) {
  const auto before = colour_under(match.before, bound), after = colour_under(match.after, bound);
  for (const auto* side : {&before, &after})
    if (!*side) return Error{side->error().code, side->error().message, match.before.name()};
  Pair pair = pair_of(match, bound.light, bound.observer_deg, *before, *after);
  const std::string own = bound.light + ", " + std::to_string(bound.observer_deg) + " degrees";
  pair.warnings.push_back("L*a*b* only " +
                          std::string(!match.before.spectral() && !match.after.spectral()
                                          ? "on both sides"
                                      : match.before.spectral() ? "after"
                                                                : "before") +
                          ": compared under its own light and observer, " + own);
  answer.pairs.push_back(std::move(pair));
  for (const Light& light : viewing_.lights)
    if (light.name != bound.light || answer.observer_deg != bound.observer_deg)
      answer.refused.push_back({match.before.name(), light.name,
                                "the reading is L*a*b* only, bound to " + own +
                                    "; without a spectrum there is no difference under another"});
  return {};
}

Result<void> Work::look_at(const std::vector<Repeats>& groups) {
  for (const Repeats& group : groups) {
    if (group.readings.size() < 2) continue;
    if (!group.spectral()) {
      if (const auto colour = bound_colour(group)) like_.add(group.name(), colour->each);
      continue;
    }
    // A grid that cannot be weighed is refused where it is compared, with its name.
    const auto weights = shelves.front().at(group.first().spectrum->grid);
    if (weights) like_.add(group.name(), MENDTONE_TRY(repeated_colour(group, **weights)).each);
  }
  return {};
}

Result<void> Work::compare(const Match& match) {
  if (!match.before.spectral()) return compare_bound(match, *match.before.first().lab);
  if (!match.after.spectral()) return compare_bound(match, *match.after.first().lab);
  return compare_spectra(match);
}

/// Brings the readings after to the grid of those before, and says so.
Result<void> to_one_grid(Match& match) {
  if (!match.before.spectral() || !match.after.spectral()) return {};
  const WavelengthGrid& grid = match.before.first().spectrum->grid;
  const WavelengthGrid own = match.after.first().spectrum->grid;
  if (grid == own) return {};
  for (Reading& reading : match.after.readings) {
    auto moved = resample(*reading.spectrum, grid, best_interpolation(own));
    if (!moved) return moved.error();
    match.bands_extrapolated = moved->bands_extrapolated;
    reading.spectrum = std::move(moved->spectrum);
  }
  std::string text = "the readings after (" + shortest(own.first()) + "-" + shortest(own.last()) +
                     " nm, " + std::to_string(own.size()) +
                     " bands) were brought to the bands of "
                     "those before (" +
                     shortest(grid.first()) + "-" + shortest(grid.last()) + " nm, " +
                     std::to_string(grid.size()) + " bands)";
  if (match.bands_extrapolated > 0)
    text += "; " + counted(match.bands_extrapolated, "band", "bands") +
            " beyond their range held at the end value";
  match.warnings.push_back(std::move(text));
  return {};
}

using Groups = std::map<std::string, std::vector<const Repeats*>>;

Groups by_name(const std::vector<Repeats>& groups) {
  Groups named;
  for (const Repeats& group : groups) named[group.name()].push_back(&group);
  return named;
}

/// The partner among `candidates` that may be compared with the fewest doubts; else the reasons
/// of the one that comes nearest.
struct Partner {
  const Repeats* group = nullptr;
  Comparability verdict;
};

Partner best_partner(const Repeats& before, const std::vector<const Repeats*>& candidates,
                     const std::set<const Repeats*>& taken) {
  Partner best, nearest;
  for (const Repeats* candidate : candidates) {
    if (taken.count(candidate) > 0) continue;
    Comparability verdict = comparability(before.first(), candidate->first());
    Partner& slot = verdict.allowed() ? best : nearest;
    const auto weight = [](const Comparability& c) {
      return c.refusals.size() * 100 + c.warnings.size();
    };
    if (!slot.group || weight(verdict) < weight(slot.verdict)) slot = {candidate, verdict};
  }
  return best.group ? best : nearest;
}

Result<void> add_brighteners(const std::vector<Repeats>& before, const std::vector<Repeats>& after,
                             bool across, std::vector<Brightener>& found) {
  std::vector<std::vector<Repeats>> searched{before, after};
  if (across) {
    searched = {before};
    searched[0].insert(searched[0].end(), after.begin(), after.end());
  }
  for (const auto& groups : searched) {
    auto some = brighteners(groups);
    if (!some) return some.error();
    found.insert(found.end(), some->begin(), some->end());
  }
  return {};
}

Error nothing_compared(const DifferenceAnswer& answer) {
  if (!answer.refused.empty()) {
    const results::Refused& first = answer.refused.front();
    return bad_input("cannot be compared: " + first.reason, first.name);
  }
  return bad_input("no name stands in both: only before " + listed(answer.only_before) +
                   "; only after " + listed(answer.only_after));
}

/// Every group before with its partner; what has none is named.
Result<void> pair_up(const std::vector<Repeats>& before, const std::vector<Repeats>& after,
                     Work& work) {
  const Groups named_before = by_name(before), named_after = by_name(after);
  std::set<const Repeats*> taken;
  for (const Repeats& group : before) {
    const auto same_name = named_after.find(group.name());
    if (same_name == named_after.end()) continue;
    const Partner partner = best_partner(group, same_name->second, taken);
    if (!partner.group) {
      work.answer.refused.push_back({group.name(), "",
                                     "read before (" + conditions_of(group.first()) +
                                         ") but not after under these conditions"});
      continue;
    }
    if (!partner.verdict.allowed()) {
      work.answer.refused.push_back({group.name(), "", joined(partner.verdict.refusals)});
      continue;
    }
    taken.insert(partner.group);
    Match match{group, *partner.group, 0, partner.verdict.warnings};
    if (auto done = to_one_grid(match); !done) return done.error();
    if (auto done = work.compare(match); !done) return done.error();
  }
  for (const auto& [name, groups] : named_before)
    if (named_after.count(name) == 0) work.answer.only_before.push_back(name);
  for (const auto& [name, groups] : named_after)
    if (named_before.count(name) == 0) work.answer.only_after.push_back(name);
  return {};
}

/// What is compared: backings stand beside the readings that lay on them, and are compared only
/// where nothing else is there.
std::vector<Reading> compared(const ReadFile& file) {
  std::vector<Reading> rows;
  std::copy_if(file.readings.begin(), file.readings.end(), std::back_inserter(rows),
               [](const Reading& row) { return row.role != Role::backing; });
  return rows.empty() ? file.readings : rows;
}

}  // namespace

Result<DifferenceAnswer> difference_of(const ReadFile& before, const ReadFile& after,
                                       const Viewing& viewing, const ChangeSettings& settings,
                                       bool brightener) {
  Work work(viewing, settings);
  work.answer.warnings = lines_of(before.warnings);
  for (const Warning& warning : after.warnings) work.answer.warnings.push_back(line_of(warning));
  if (settings.reproducibility_de00 == 0)
    work.answer.warnings.push_back(
        "the instrument's reproducibility from session to session is not stated and taken as 0; "
        "state it (--reproducibility)");
  const auto groups_before = group_repeats(compared(before));
  const auto groups_after = group_repeats(compared(after));
  for (const auto* groups : {&groups_before, &groups_after}) MENDTONE_TRY(work.look_at(*groups));
  if (auto done = add_brighteners(groups_before, groups_after, brightener, work.answer.brighteners);
      !done)
    return done.error();
  if (auto done = pair_up(groups_before, groups_after, work); !done) return done.error();
  const bool flag_answers = brightener && !work.answer.brighteners.empty();
  if (work.answer.pairs.empty() && !flag_answers) return nothing_compared(work.answer);
  return std::move(work.answer);
}

Result<DifferenceAnswer> difference(const DifferenceRequest& request, const InputPlace& place) {
  const auto asked = viewing(request.viewing, {"D65"}, place);
  if (!asked) return asked.error();
  const auto before = load(request.before, place);
  if (!before) return before.error();
  const auto after = load(request.after, place);
  if (!after) return after.error();
  return difference_of(*before, *after, *asked, request.settings, request.brightener);
}

bool has_answer(const DifferenceAnswer& answer) {
  return std::none_of(answer.pairs.begin(), answer.pairs.end(),
                      [](const Pair& pair) { return pair.change.verdict == Verdict::undecided; });
}

}  // namespace mendtone::app
