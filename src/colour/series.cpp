#include "mendtone/colour/series.hpp"

namespace mendtone {
namespace {

bool unseen(const Change& change) {
  return change.interval95[0] <= 0;
}

}  // namespace

Result<Series> series(std::span<const ColourSeries> readings, const ChangeSettings& settings) {
  if (readings.size() < 2)
    return bad_input("a series needs readings at two times at least, found " +
                     std::to_string(readings.size()));
  Series found;
  for (std::size_t i = 1; i < readings.size(); ++i) {
    const Change from_start = MENDTONE_TRY(change(readings[0], readings[i], settings));
    const Change from_last = MENDTONE_TRY(change(readings[i - 1], readings[i], settings));
    found.steps.push_back({from_start, from_last});
  }
  // Small steps may add up to a drift that none of them shows: the way to the end must be unseen.
  for (std::size_t i = found.steps.size(); i-- > 0;) {
    if (!unseen(found.steps[i].from_last)) break;
    const Change to_end = MENDTONE_TRY(change(readings[i], readings.back(), settings));
    if (!unseen(to_end)) break;
    found.settled_from = i;
  }
  return found;
}

}  // namespace mendtone
