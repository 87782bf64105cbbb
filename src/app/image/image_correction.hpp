#pragma once
#include <string>

#include "mendtone/app/inputs/inputs.hpp"
#include "mendtone/base/result.hpp"
#include "mendtone/imaging/correction.hpp"

namespace mendtone::app {

/// A correction as it is kept: for photographs of one camera, light and profile.
struct KeptCorrection {
  CorrectionFit fit;
  std::string photograph, profile, reference;
  std::size_t patches = 0;
  double uncorrected_mean_de00 = 0;
};

Result<void> keep(const KeptCorrection& correction, const std::string& path);
Result<KeptCorrection> read_correction(const std::string& path, const InputPlace& place);

}  // namespace mendtone::app
