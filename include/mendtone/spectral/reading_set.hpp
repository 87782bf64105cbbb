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

/// A repeat that stands apart: how far from the median spectrum, and how far they usually are, in
/// units that are near those of L*.
struct Apart {
  std::size_t index = 0;
  double distance = 0, usual = 0;
};

/// Spectral repeats that stand apart: their distance from the median spectrum (root of the mean
/// square of 116 R^(1/3), 400-700 nm) is above 0.3 and above five times the median of those
/// distances (nine times for three repeats, as for colours). Fewer than three, repeats without
/// spectra or on several grids: none. Never half of them or more.
std::vector<Apart> standing_apart(const Repeats& repeats);

/// The one mean of repeats, band by band, of those that do not stand apart. Refuses repeats without
/// spectra, or not on one grid.
Result<Spectrum> mean_spectrum(const Repeats& repeats);
/// With every repeat in it, as records of older programs hold their means.
Result<Spectrum> plain_mean_spectrum(const Repeats& repeats);

/// One sentence a repeat that stands apart; the only ones that say so of a mean.
std::vector<std::string> apart_in_words(const Repeats& repeats);

/// What the person calls one of the repeats: its `repeat` mark, else its place in the group.
std::string repeat_label(const Repeats& repeats, std::size_t index);

}  // namespace mendtone
