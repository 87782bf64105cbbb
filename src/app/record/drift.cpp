#include <algorithm>
#include <map>

#include "app/inputs/text.hpp"
#include "app/record/stages.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/difference.hpp"
#include "mendtone/colour/repeats.hpp"
#include "mendtone/colour/weights.hpp"
#include "mendtone/spectral/reading_set.hpp"

namespace mendtone::app {
namespace {

using record::Kept;
using record::KeptReading;

/// A day as years: only differences are used. Nothing where it is no day.
std::optional<double> as_years(const std::string& day) {
  if (day.size() < 10 || day[4] != '-' || day[7] != '-') return std::nullopt;
  const auto year = parse_number(day.substr(0, 4)), month = parse_number(day.substr(5, 2)),
             of_month = parse_number(day.substr(8, 2));
  if (!year || !month || !of_month) return std::nullopt;
  return *year + (*month - 1) / 12 + (*of_month - 1) / 365;
}

/// Readings of one tissue on days less than a year apart.
struct Session {
  std::string first_day, last_day;
  std::vector<Reading> readings;
};

std::vector<Session> sessions_of(const std::vector<const Kept<KeptReading>*>& readings) {
  std::map<std::string, std::vector<const Kept<KeptReading>*>> by_day;
  for (const auto* kept : readings) by_day[kept->value.taken.substr(0, 10)].push_back(kept);
  std::vector<Session> sessions;
  for (const auto& [day, of_day] : by_day) {
    if (sessions.empty() || *as_years(day) - *as_years(sessions.back().last_day) >= 1)
      sessions.push_back({day, day, {}});
    sessions.back().last_day = day;
    for (const auto* kept : of_day) sessions.back().readings.push_back(kept->value.reading);
  }
  return sessions;
}

/// Under D65, 10 degrees, over the first backing that both were read over; nothing where there is
/// none.
std::optional<double> drift_between(const Session& before, const Session& after) {
  for (const Repeats& first : group_repeats(before.readings))
    for (const Repeats& last : group_repeats(after.readings)) {
      if (!first.spectral() || !last.spectral()) continue;
      if (!same_conditions(first.first(), last.first())) continue;
      const auto one = mean_spectrum(first), two = mean_spectrum(last);
      if (!one || !two || !(one->grid == two->grid)) continue;
      const auto weights = tristimulus_weights(one->grid, *standard_light("D65"), Observer::deg10);
      if (!weights) continue;
      return de00(*weights->lab(one->value), *weights->lab(two->value));
    }
  return std::nullopt;
}

}  // namespace

OneStage of_latest_years(KeptReadings readings) {
  std::map<record::Id, std::vector<const Kept<KeptReading>*>> by_tissue;
  std::map<record::Id, bool> dated;
  for (const Kept<KeptReading>& kept : readings) {
    if (!kept.value.tissue || kept.value.offcut ||
        has_role(kept.value.reading, {Role::swatch, Role::trial}))
      continue;
    by_tissue[*kept.value.tissue].push_back(&kept);
    const bool has_day = as_years(kept.value.taken).has_value();
    dated.try_emplace(*kept.value.tissue, true).first->second &= has_day;
  }
  OneStage one;
  std::map<record::Id, std::string> from;  // the first day that still counts
  for (const auto& [tissue, all] : by_tissue) {
    if (!dated[tissue]) continue;
    const std::vector<Session> sessions = sessions_of(all);
    if (sessions.size() < 2) continue;
    from[tissue] = sessions.back().first_day;
    const auto drift = drift_between(sessions.front(), sessions.back());
    one.notes.push_back(
        "'" + all.front()->value.reading.name + "' was read on " + sessions.front().first_day +
        " and on " + sessions.back().last_day + ": the latest is taken" +
        (drift ? ". It drifted by " + fixed(*drift, 2) + " DeltaE00 (D65, 10 degrees)"
               : std::string()));
  }
  std::erase_if(readings, [&](const Kept<KeptReading>& kept) {
    if (!kept.value.tissue || kept.value.offcut ||
        has_role(kept.value.reading, {Role::swatch, Role::trial}))
      return false;
    const auto found = from.find(*kept.value.tissue);
    return found != from.end() && kept.value.taken.substr(0, 10) < found->second;
  });
  one.readings = std::move(readings);
  return one;
}

}  // namespace mendtone::app
