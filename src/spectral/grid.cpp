#include "mendtone/spectral/grid.hpp"

#include <cassert>
#include <cmath>

#include "mendtone/base/numbers.hpp"

namespace mendtone {

WavelengthGrid::WavelengthGrid(std::vector<double> nm)
    : nm_(std::make_shared<const std::vector<double>>(std::move(nm))) {}

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
  return WavelengthGrid(std::move(nm));
}

WavelengthGrid WavelengthGrid::equal_steps(double first_nm, double step_nm, std::size_t count) {
  assert(count >= 2 && step_nm > 0 && first_nm > 0);
  std::vector<double> nm;
  for (std::size_t i = 0; i < count; ++i) nm.push_back(first_nm + static_cast<double>(i) * step_nm);
  return WavelengthGrid(std::move(nm));
}

std::optional<double> WavelengthGrid::step() const {
  if (size() < 2) return std::nullopt;
  const std::vector<double>& all = *nm_;
  const double step = (last() - first()) / static_cast<double>(all.size() - 1);
  for (std::size_t i = 1; i < all.size(); ++i)
    if (std::abs(all[i] - all[i - 1] - step) > 1e-6) return std::nullopt;
  return step;
}

}  // namespace mendtone
