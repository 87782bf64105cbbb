#pragma once
#include <array>
#include <span>
#include <vector>

namespace mendtone::virtual_bench {

/// Directions in each hemisphere; 2 x 6 fluxes where the planner's theory has two.
constexpr int streams = 6;

/// What light meets at one wavelength: absorption and scattering optical depth of the whole slab,
/// the scattering shared between fibres (isotropic) and colorant (forward, Henyey-Greenstein).
struct Depth {
  double absorbed = 0;
  double scattered_by_fibres = 0;
  double scattered_by_colorant = 0;
};

/// Seen in diffuse light near the normal; fractions of the perfect diffuser, or of what falls in.
struct Seen {
  double reflectance = 0;
  double transmittance = 0;  ///< diffuse in, diffuse out
};

/// Doubling-adding of a plane-parallel slab over a matt backing, without an interface.
Seen sheet(const Depth& depth, double backing);

/// A slab with a smooth upper surface of refractive index n, in contact with a matt support.
/// Specular light is left out, as a 45:0 instrument leaves it out.
double glossy_film(const Depth& depth, double support, double refractive_index);

/// Normal collimated light on a slab of one kind of scatterer, no interface, nothing behind:
/// total reflected and transmitted. Only for checks against published values.
struct Collimated {
  double reflected = 0, transmitted = 0;
};
Collimated collimated(double absorbed, double scattered, double asymmetry);

}  // namespace mendtone::virtual_bench
