#pragma once
#include <vector>

#include "mendtone/spectral/grid.hpp"

namespace mendtone {

/// One value a wavelength. For readings: reflectance factor or transmittance as a fraction of the
/// perfect diffuser (or of the open beam), not of 100.
struct Spectrum {
  WavelengthGrid grid;
  std::vector<double> value;
};

}  // namespace mendtone
