#include "mendtone/optics/paper.hpp"

#include <cmath>

#include "mendtone/base/numbers.hpp"

namespace mendtone {

Result<PaperCoefficients> paper_coefficients(double R0, double Rinf, double grammage_g_m2) {
  if (!(grammage_g_m2 > 0))
    return bad_input("a grammage above 0 g/m2 is needed, found " + shortest(grammage_g_m2));
  if (!(R0 > 0 && R0 < Rinf && Rinf < 1))
    return bad_input("s and k need 0 < R0 < R-infinity < 1, found R0 " + shortest(R0) +
                     " and R-infinity " + shortest(Rinf));
  const double s =
      1000 / (grammage_g_m2 * (1 / Rinf - Rinf)) * std::log(Rinf * (1 - R0 * Rinf) / (Rinf - R0));
  return PaperCoefficients{s, s * (1 - Rinf) * (1 - Rinf) / (2 * Rinf)};
}

}  // namespace mendtone
