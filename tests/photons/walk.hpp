#pragma once
#include <cstddef>
#include <cstdint>
#include <vector>

#include "photons/path_lengths.hpp"

namespace mendtone::photons {

/// Slabs of one stuff, one behind the other as thicknesses of the same medium, without absorption.
/// Lengths are in mean free ways between two scatterings.
struct Medium {
  double asymmetry = 0;        ///< g of Henyey and Greenstein's phase function
  double index = 1;            ///< of the medium against air above; below is a matt backing
  std::vector<double> depths;  ///< scattering optical depths, rising
};

/// Where photons start: a beam from the air at 45, 0 or 8 degrees, diffuse light from the air, or
/// diffuse light from the backing (with an index above 1: one depth only).
enum class Beam { at_45, at_0, at_8, diffuse, from_backing };

/// What came of one photon sent in (weights add up to what one photon carries), for each depth.
struct Tally {
  std::vector<PathLengths> back;     ///< left again through the face it came in by
  std::vector<PathLengths> through;  ///< reached the other face and did not return from it
  /// `at_45` only: pi times the radiance along the normal into the air: a reflectance factor.
  std::vector<PathLengths> read;
};

/// Sends `count` photons. Each slab of the medium sees every photon: until a depth is reached for
/// the first time, a walk in the endless medium is a walk in the slab that ends there. The first
/// scatterings are drawn from shifted Richtmyer sequences, which spread evenly; the shift and the
/// rest come from Philox. The same seed and stream give the same tally.
/// From the backing, `back` is what returns to it, and `through` what leaves into the air.
Tally walk(const Medium& medium, Beam beam, std::size_t count, std::uint64_t seed,
           std::uint64_t stream);

/// Unpolarised Fresnel reflectance of a face between index n (where the ray is, at cosine mu to the
/// normal) and air.
double fresnel_from_within(double mu, double n);
/// The cosine within the medium of a ray that has cosine `mu` in the air.
double refracted(double mu, double n);

}  // namespace mendtone::photons
