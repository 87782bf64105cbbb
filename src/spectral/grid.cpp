#include "mendtone/spectral/grid.hpp"

#include <cassert>
#include <cmath>

#include "mendtone/base/numbers.hpp"

namespace mendtone {

Result<WavelengthGrid> WavelengthGrid::from_nm(std::vector<double> nm) {
  if (nm.size() < 2)
    return bad_input("a spectrum needs at least two wavelengths, found " +
                     std::to_string(nm.size()));
  for (std::size_t i = 0; i < nm.size(); ++i) {
    if (!std::isfinite(nm[i]) || nm[i] <= 0)
      return bad_input("wavelength " + std::to_string(i + 1) + " is not a number of nm above 0");
    if (i > 0 && nm[i] <= nm[i - 1])
      return bad_input("wavelengths must rise: " + shortest(nm[i]) + " nm comes after " +
                       shortest(nm[i - 1]) + " nm");
  }
  WavelengthGrid grid;
  grid.nm_ = std::move(nm);
  return grid;
}

WavelengthGrid WavelengthGrid::equal_steps(double first_nm, double step_nm, std::size_t count) {
  assert(count >= 2 && step_nm > 0 && first_nm > 0);
  WavelengthGrid grid;
  for (std::size_t i = 0; i < count; ++i)
    grid.nm_.push_back(first_nm + static_cast<double>(i) * step_nm);
  return grid;
}

std::optional<double> WavelengthGrid::step() const {
  if (nm_.size() < 2) return std::nullopt;
  const double step = (last() - first()) / static_cast<double>(nm_.size() - 1);
  for (std::size_t i = 1; i < nm_.size(); ++i)
    if (std::abs(nm_[i] - nm_[i - 1] - step) > 1e-6) return std::nullopt;
  return step;
}

}  // namespace mendtone
