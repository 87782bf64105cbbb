#pragma once
#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "mendtone/colour/change.hpp"

namespace mendtone {

/// One step of a series: readings of one spot after a bath, or in a year.
struct SeriesStep {
  Change from_start;  ///< against the first readings
  Change from_last;   ///< against the readings just before
};

/// A spot over time or over baths.
struct Series {
  std::vector<SeriesStep> steps;  ///< one a reading after the first
  /// The first step (0: the first after the start) from which on no step changes the colour more
  /// than the uncertainty: zero stands in every further interval `from_last`, and the change from
  /// there to the end is not seen either. None where the last step still changes it.
  std::optional<std::size_t> settled_from;
};

/// CIEDE2000 from the start and from step to step, with intervals. Refuses fewer than two
/// entries, and one without readings.
Result<Series> series(std::span<const ColourSeries> readings, const ChangeSettings& settings = {});

}  // namespace mendtone
