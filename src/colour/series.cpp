#include "mendtone/colour/series.hpp"

#include <cassert>

namespace mendtone {
namespace {

bool unseen(const Change& change) {
  return change.interval95[0] <= 0;
}

}  // namespace

Series series(std::span<const ColourSeries> readings, const ChangeSettings& settings) {
  assert(readings.size() >= 2);
  Series found;
  for (std::size_t i = 1; i < readings.size(); ++i)
    found.steps.push_back({change(readings[0], readings[i], settings),
                           change(readings[i - 1], readings[i], settings)});
  // Small steps may add up to a drift that none of them shows: the way to the end must be unseen.
  for (std::size_t i = found.steps.size(); i-- > 0;) {
    if (!unseen(found.steps[i].from_last)) break;
    if (!unseen(change(readings[i], readings.back(), settings))) break;
    found.settled_from = i;
  }
  return found;
}

}  // namespace mendtone
