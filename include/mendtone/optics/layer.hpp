#pragma once

namespace mendtone {

/// What a slab of paper does to light at one wavelength. Three numbers tell of diffuse light; the
/// rest of what an instrument's lamp and eye see of it, and are the same three where a model knows
/// diffuse light only. Transmittance is the same both ways; reflectance need not be. Fractions;
/// what the eye sees is counted as a reading, against a perfect diffuser.
struct Slab {
  double R12 = 0;  ///< diffuse reflectance of the front over nothing
  double R21 = 0;  ///< diffuse reflectance of the back over nothing
  double T = 1;    ///< diffuse transmittance

  double seen = 0;    ///< what the instrument reads of the front over nothing
  double in = 1;      ///< share of the lamp's light that comes through
  double out = 1;     ///< what the eye sees, from in front, of diffuse light behind
  double thrown = 0;  ///< share of the lamp's light that the front throws back, all ways
  double lit = 0;     ///< what the eye sees of the front in diffuse light
  /// Of `in` and `out` what comes straight through, never scattered: for the eye along its line,
  /// for a lamp that is a beam along that. 0 where a model knows diffuse light only.
  double straight_in = 0, straight_out = 0;

  Slab() = default;
  /// One of which only diffuse light is known: the instrument is taken to see that.
  Slab(double front, double back, double through)
      : R12(front),
        R21(back),
        T(through),
        seen(front),
        in(through),
        out(through),
        thrown(front),
        lit(front) {}
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
/// interface). What was scattered between them is taken as diffuse; beams go on as beams.
/// Ref: kubelka1954
Slab in_front(const Slab& front, const Slab& behind);

/// What the instrument reads of `slab` over a matt backing of reflectance Rg. Ref: kubelka1948
double over(const Slab& slab, double Rg);

/// The diffuse reflectance of `slab` over the same: what a layer on top of it meets.
double diffuse_over(const Slab& slab, double Rg);

/// R-infinity, the reflectance of an endless pile. K = S = 0 gives 1. Ref: kubelka1948
double reflectivity(double K, double S);

}  // namespace mendtone
