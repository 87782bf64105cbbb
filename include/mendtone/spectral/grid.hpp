#pragma once
#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "mendtone/base/result.hpp"

namespace mendtone {

/// The wavelengths of a measurement, in nm, strictly rising; not necessarily equally spaced.
class WavelengthGrid {
 public:
  /// No wavelengths; what a default-made Spectrum has.
  WavelengthGrid() = default;
  /// Refuses fewer than two wavelengths and any that do not rise, naming the first offender.
  static Result<WavelengthGrid> from_nm(std::vector<double> nm);
  /// `count` wavelengths from `first_nm` in steps of `step_nm`. Contract: count >= 2, step > 0.
  static WavelengthGrid equal_steps(double first_nm, double step_nm, std::size_t count);

  std::size_t size() const { return nm_.size(); }
  std::span<const double> nm() const { return nm_; }
  double first() const { return nm_.front(); }
  double last() const { return nm_.back(); }
  /// The step in nm where all steps are equal to 1e-6 nm.
  std::optional<double> step() const;

  bool operator==(const WavelengthGrid&) const = default;

 private:
  std::vector<double> nm_;
};

}  // namespace mendtone
