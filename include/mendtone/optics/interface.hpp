#pragma once
#include "mendtone/optics/layer.hpp"

namespace mendtone {

/// The surface between air and a layer of another refractive index; all zero: none, which is the
/// rule for tissue and paper. Fractions. Rm = k1 + (1 - ke)(1 - k2) R / (1 - k2 R).
/// Contract: ke and k2 below 1. Ref: saunderson1942
struct InterfaceCorrection {
  double k1 = 0;  ///< residual gloss that the instrument sees; d/8 specular included: equal to ke
  double ke = 0;  ///< loss on entry
  double k2 = 0;  ///< internal reflection
  bool none() const { return k1 == 0 && ke == 0 && k2 == 0; }
  double outward(double inside) const;           ///< measured reflectance from that inside
  double outward_slope(double inside) const;     ///< d outward / d inside
  double inward(double measured) const;          ///< the inverse of `outward`; nothing is cut
  double seen_gloss() const { return k1 - ke; }  ///< reading minus what comes back in all
};

/// How plies lie on one another. Without an interface it makes no difference.
enum class Joint { contact, air };

/// A layer with air on both sides: its surfaces added to what happens inside. Outside, a fraction
/// ke of the light is turned back before it enters; an instrument sees k1 of it.
Slab in_air(const Slab& inside, const InterfaceCorrection& interface);

/// What is inside a symmetric layer whose reflectance and transmittance in air are known; the
/// inverse of `in_air`. Contract: in_air.R12 == in_air.R21.
Slab inside_of(const Slab& in_air, const InterfaceCorrection& interface);

/// `plies` of a symmetric layer (its inside) on one another, in air on both sides.
Slab pile(const Slab& inside, int plies, Joint joint, const InterfaceCorrection& interface);

}  // namespace mendtone
