#pragma once
#include <memory>
#include <string_view>
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/colour/lab.hpp"
#include "mendtone/imaging/pixels.hpp"

namespace mendtone {

/// A correction of a camera's colours in linear light. Both kinds scale with exposure.
///   matrix: 3 x 3 on X/Xw, Y/Yw, Z/Zw
///   root_polynomial: 3 x 6 on r, g, b (sharpened responses by the Bradford matrix) and
///   sqrt(rg), sqrt(gb), sqrt(rb). Ref: finlayson2015
struct PixelCorrection {
  enum class Kind { none, matrix, root_polynomial };
  Kind kind = Kind::none;
  std::vector<double> coefficients;  ///< row-major, 9 or 18

  /// Relative X, Y, Z (white 1, 1, 1) in and out.
  Xyz apply(const Xyz& relative) const;
};
std::string_view name_of(PixelCorrection::Kind);

/// A fitted correction and how well it does on patches that it has not seen (each left out once).
struct CorrectionFit {
  PixelCorrection correction;
  double fitted_mean_de00 = 0;
  double unseen_mean_de00 = 0, unseen_p90_de00 = 0, unseen_max_de00 = 0;
};

/// Least squares of CIELAB differences. Refuses fewer patches than 1.5 times the unknowns of one
/// channel plus one (6 for a matrix, 10 for a root polynomial), and patches that do not determine
/// it.
Result<CorrectionFit> fit_correction(const std::vector<Lab>& measured,
                                     const std::vector<Lab>& reference, PixelCorrection::Kind kind);

/// `base` with the correction behind it. `base` must outlive it. One-way.
std::unique_ptr<PixelTransform> corrected(const PixelTransform& base, PixelCorrection correction);

}  // namespace mendtone
