#pragma once
#include <cstddef>
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/spectral/spectrum.hpp"

namespace mendtone {

enum class Interpolation {
  sprague,       ///< fifth degree, equal steps and at least six bands. Ref: cie167
  cubic_spline,  ///< natural cubic spline, any grid
  lagrange4,     ///< four-point Lagrange, any grid; the ASTM way, kept to check against
  linear
};

/// Every interpolation here is linear in the values, so it is a matrix: `to.size()` rows of
/// `from.size()` numbers, row-major. Outside `from` the end values are held.
/// Refuses what the method cannot do (Sprague on unequal steps or fewer than six bands; four-point
/// Lagrange on fewer than four).
Result<std::vector<double>> interpolation_matrix(const WavelengthGrid& from,
                                                 const WavelengthGrid& to, Interpolation method);

struct Resampled {
  Spectrum spectrum;
  std::size_t bands_extrapolated = 0;  ///< bands outside the measured range, held at its ends
};

/// Brings `measured` to the wavelengths `to`.
Result<Resampled> resample(const Spectrum& measured, const WavelengthGrid& to,
                           Interpolation method);

/// The method that suits `grid`: Sprague where CIE 167 allows it, else the cubic spline.
Interpolation best_interpolation(const WavelengthGrid& grid);

}  // namespace mendtone
