#pragma once
#include <span>
#include <string>
#include <vector>

#include "mendtone/spectral/reading.hpp"

namespace mendtone {

/// Readings of one name under the same conditions: repeats of one spot, in their file's order.
struct Repeats {
  std::vector<Reading> readings;  ///< never empty

  const Reading& first() const { return readings.front(); }
  const std::string& name() const { return readings.front().name; }
  bool spectral() const { return readings.front().spectrum.has_value(); }
};

/// True where nothing that the file says of the two differs but the repeat, the values and the
/// place in the file. A Lab-only reading and a spectral one are never the same; nor are two grids.
bool same_conditions(const Reading& one, const Reading& two);

/// Groups repeats, in the order in which each group's first reading stands.
std::vector<Repeats> group_repeats(std::span<const Reading> readings);

/// The band-by-band mean of the repeats. Refuses repeats without spectra, or not on one grid.
Result<Spectrum> mean_spectrum(const Repeats& repeats);

/// What the person calls one of the repeats: its `repeat` mark, else its place in the group.
std::string repeat_label(const Repeats& repeats, std::size_t index);

}  // namespace mendtone
