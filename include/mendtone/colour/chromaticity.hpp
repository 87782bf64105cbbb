#pragma once
#include <optional>

#include "mendtone/base/result.hpp"
#include "mendtone/colour/light.hpp"

namespace mendtone {

/// CIE 1931 chromaticity of a light, as CIE 15 sums it: from 380 to 780 nm, at the light's own
/// wavelengths where they are at most 5 nm apart, else at 1 nm with the power straight between them.
/// Refuses a light without power there. Ref: cie15
struct Chromaticity {
  double x = 0, y = 0;
  double u_prime() const { return 4 * x / (-2 * x + 12 * y + 3); }  ///< CIE 1976 u'
  double v_prime() const { return 9 * y / (-2 * x + 12 * y + 3); }  ///< CIE 1976 v'
};
Result<Chromaticity> chromaticity(const Light& light);

/// Correlated colour temperature and the distance from the Planckian locus.
struct ColourTemperature {
  double cct_K = 0;
  double duv = 0;  ///< positive above the locus (greener), negative below (pinker)
};

/// By the definition itself: the Planckian radiator nearest in CIE 1960 (u, v) = (u', 2/3 v'),
/// found by minimising the distance (c2 = 1.4388e-2 m K, CIE 1931 observer at 1 nm), so without the
/// interpolation error of a table of isotherms. Nothing where the nearest is not within 1000-25000
/// K or further than 0.05, where CIE 15 gives the temperature no meaning. Ref: cie15, ohno2014
std::optional<ColourTemperature> colour_temperature(const Chromaticity& colour);

/// The share of the power below 400 nm, of all power that was measured; nothing where the spectrum
/// does not begin below 400 nm.
std::optional<double> share_below_400(const Spectrum& power);

}  // namespace mendtone
