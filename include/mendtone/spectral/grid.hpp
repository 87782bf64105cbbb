#pragma once
#include <cstddef>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "mendtone/base/result.hpp"

namespace mendtone {

/// The wavelengths of a measurement, in nm, strictly rising; not necessarily equally spaced. Copies
/// share one list: a file of a quarter of a million readings has it once.
class WavelengthGrid {
 public:
  /// No wavelengths; what a default-made Spectrum has.
  WavelengthGrid() = default;
  /// Refuses fewer than two wavelengths and any that do not rise, naming the first offender.
  static Result<WavelengthGrid> from_nm(std::vector<double> nm);
  /// `count` wavelengths from `first_nm` in steps of `step_nm`. Contract: count >= 2, step > 0.
  static WavelengthGrid equal_steps(double first_nm, double step_nm, std::size_t count);

  std::size_t size() const { return nm_ ? nm_->size() : 0; }
  std::span<const double> nm() const {
    return nm_ ? std::span<const double>(*nm_) : std::span<const double>();
  }
  double first() const { return nm_->front(); }
  double last() const { return nm_->back(); }
  /// The step in nm where all steps are equal to 1e-6 nm.
  std::optional<double> step() const;

  bool operator==(const WavelengthGrid& other) const {
    return nm_ == other.nm_ || (nm_ && other.nm_ && *nm_ == *other.nm_);
  }

 private:
  explicit WavelengthGrid(std::vector<double> nm);

  std::shared_ptr<const std::vector<double>> nm_;  ///< none: no wavelengths
};

}  // namespace mendtone
