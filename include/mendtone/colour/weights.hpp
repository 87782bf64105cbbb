#pragma once
#include <span>
#include <string>
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/colour/lab.hpp"
#include "mendtone/colour/light.hpp"
#include "mendtone/spectral/resample.hpp"

namespace mendtone {

/// Tristimulus weights for one grid, light and observer: X = sum wx R and so on. The interpolation
/// from the grid to 1 nm is folded in, 360-830 nm, the reading's ends held, so that 10 nm readings
/// are right under spiky lamps. Built once, then shared read-only.
struct TristimulusWeights {
  WavelengthGrid grid;
  std::string light;
  Observer observer = Observer::deg10;
  std::vector<double> wx, wy, wz;
  Xyz white;  ///< of the perfect diffuser: the sums of the weights; Y = 100

  /// Refuse a reflectance that is not one value a band.
  Result<Xyz> xyz(std::span<const double> reflectance) const;
  Result<Lab> lab(std::span<const double> reflectance) const;
  /// The same for loops. Contract: `reflectance.size() == grid.size()`.
  Xyz xyz_unchecked(std::span<const double> reflectance) const;
  Lab lab_unchecked(std::span<const double> reflectance) const;
};

/// Refuses a grid that `interpolation` cannot serve, or that covers less than 400-680 nm (a tone
/// from less would be a guess), and a light without power in 360-830 nm.
Result<TristimulusWeights> tristimulus_weights(
    const WavelengthGrid& grid, const Light& light, Observer observer,
    Interpolation interpolation = Interpolation::cubic_spline);

}  // namespace mendtone
