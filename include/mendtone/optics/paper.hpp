#pragma once
#include "mendtone/base/result.hpp"

namespace mendtone {

/// Light scattering and absorption coefficients of paper, in m2/kg.
struct PaperCoefficients {
  double s_m2_kg = 0, k_m2_kg = 0;
};

/// s and k from R0 (one sheet over black), R-infinity (a pad) and grammage in g/m2.
/// Refuses R0 not in (0, R-infinity), R-infinity not in (0, 1) and a grammage not above 0.
/// Ref: iso9416
Result<PaperCoefficients> paper_coefficients(double R0, double R_infinity, double grammage_g_m2);

}  // namespace mendtone
