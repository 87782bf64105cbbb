#pragma once
#include <cstddef>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "mendtone/colour/weights.hpp"
#include "mendtone/spectral/reading_set.hpp"

namespace mendtone {

/// A repeat that stands apart from the others.
struct Outlier {
  std::size_t index = 0;
  double de00 = 0;        ///< from the median colour
  double usual_de00 = 0;  ///< the median of all distances from it
};

/// Repeats that stand apart: CIEDE2000 from the median colour (axis by axis) above 0.3 and above
/// five times the median of those distances (nine times for three repeats). Of sound repeats, it
/// names one in 0.1 to 1 % of groups where they vary in lightness and colour, and in up to 7 %
/// where they vary in lightness alone (simulated: the test RepeatsApart). Fewer than three: none.
std::vector<Outlier> outliers(std::span<const Lab> repeats);

/// The mean, axis by axis, of those that do not stand apart.
Lab robust_mean(std::span<const Lab> repeats);

/// The colour of repeats under one light. Repeats that stand apart (of spectra, as
/// `standing_apart` finds them) are not in the mean; they are in `each` and in the spread.
struct RepeatedColour {
  Xyz xyz;  ///< of the mean
  Lab lab;  ///< of the mean
  std::vector<Lab> each;
  std::optional<double> spread_de00;  ///< mean CIEDE2000 from the mean; none for one reading
  std::vector<Outlier> outliers;
};

/// Colour of spectral repeats: of their mean spectrum. Refuses repeats without spectra or on
/// another grid than the weights'.
Result<RepeatedColour> repeated_colour(const Repeats& repeats, const TristimulusWeights& weights);

/// Colour of Lab-only repeats under the light and observer that they are bound to; the mean is
/// axis by axis. Refuses a light without a table here, and repeats without such a colour.
Result<RepeatedColour> bound_colour(const Repeats& repeats);

/// Tristimulus weights by grid, each planned once.
class WeightsShelf {
 public:
  WeightsShelf(Light light, Observer observer) : light_(std::move(light)), observer_(observer) {}

  Result<const TristimulusWeights*> at(const WavelengthGrid& grid);
  const Light& light() const { return light_; }
  Observer observer() const { return observer_; }

 private:
  Light light_;
  Observer observer_;
  std::vector<std::unique_ptr<TristimulusWeights>> planned_;
};

/// The white of a light: of the perfect diffuser, from the 1 nm tables in use.
Result<Xyz> white_point(const Light& light, Observer observer);

}  // namespace mendtone
