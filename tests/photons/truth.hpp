#pragma once
#include <string>

#include "photons/sent.hpp"

namespace mendtone::photons {

/// A homogeneous slab at one wavelength: optical depths of its whole thickness, and the asymmetry g
/// of the scattering (Henyey-Greenstein; of several scatterers, their mean by depth).
struct Slab {
  double absorbed = 0, scattered = 0, asymmetry = 0;
};
Slab operator*(const Slab& slab, double plies);

/// What photons do in a sheet without a face (tissue, paper), from the tables in tests/photons:
/// absorbed up to 10, scattered (1 - g) up to 6, g from 0 to 0.6. Throws outside of that.
Functions sheet_truth(const Slab& slab, Geometry geometry);

/// The same, 45:0, for a film under a smooth face of index 1.5 in contact with what it lies on:
/// absorbed up to 12, scattered up to 6, g 0.6. `through_...` are not known.
Functions film_truth(const Slab& slab);

}  // namespace mendtone::photons
