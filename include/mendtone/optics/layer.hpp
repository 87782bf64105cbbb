#pragma once

namespace mendtone {

/// What a slab of paper does to diffuse light at one wavelength. Transmittance is the same both
/// ways; reflectance need not be. All fractions.
struct Slab {
  double R12 = 0;  ///< reflectance of the front over nothing
  double R21 = 0;  ///< reflectance of the back over nothing
  double T = 1;    ///< transmittance
};

/// Homogeneous layer from the absorption KX and the scattering SX of its whole thickness (both
/// >= 0, no unit). Exact in the limits S -> 0, K -> 0 and for thick layers.
/// Ref: kubelka1948
Slab layer(double KX, double SX);

/// A homogeneous layer and how its reflectance and transmittance change with the absorption KX and
/// the scattering SX of the whole thickness.
struct LayerSlopes {
  double R = 0, T = 1;
  double dR_dK = 0, dR_dS = 0, dT_dK = 0, dT_dS = 0;
};

/// As `layer`, with the analytic derivatives, exact in the same limits.
/// Ref: kubelka1948
LayerSlopes layer_slopes(double KX, double SX);

/// One slab in front of another, in optical contact or with air between (the same without an
/// interface). Ref: kubelka1954
Slab in_front(const Slab& front, const Slab& behind);

/// Reflectance of `slab` over a backing of reflectance Rg. Ref: kubelka1948
double over(const Slab& slab, double Rg);

/// R-infinity, the reflectance of an endless pile. K = S = 0 gives 1. Ref: kubelka1948
double reflectivity(double K, double S);

}  // namespace mendtone
