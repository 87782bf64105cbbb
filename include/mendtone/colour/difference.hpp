#pragma once
#include "mendtone/colour/lab.hpp"

namespace mendtone {

/// Parametric factors of CIEDE2000; all 1 under reference conditions.
struct De00Factors {
  double kL = 1, kC = 1, kH = 1;
};

/// CIEDE2000 and the three weighted terms whose squares, with the rotation term, make it up.
struct De00 {
  double value = 0;
  double lightness = 0;  ///< dL' / (kL SL)
  double chroma = 0;     ///< dC' / (kC SC)
  double hue = 0;        ///< dH' / (kH SH)
};

/// CIEDE2000 colour difference; symmetric. Hue differences of exactly 180 degrees, within 1e-9,
/// count as not above 180. Ref: iso11664-6, sharma2005
De00 ciede2000(const Lab& reference, const Lab& sample, const De00Factors& factors = {});
double de00(const Lab& reference, const Lab& sample, const De00Factors& factors = {});

/// CIELAB difference, Delta E*ab. Ref: iso11664-4
double de_ab(const Lab& reference, const Lab& sample);

/// CIE94, graphic-arts factors; `reference` is the standard. Ref: cie15
double de94(const Lab& reference, const Lab& sample);

/// Sample minus reference. dH carries the sign of the hue angle's change.
struct SignedDifference {
  double dL = 0, da = 0, db = 0, dC = 0, dH = 0;
};
SignedDifference signed_difference(const Lab& reference, const Lab& sample);

}  // namespace mendtone
