#pragma once
#include <string>
#include <vector>

#include "mendtone/materials/calibration.hpp"
#include "virtual_bench/bench.hpp"

namespace mendtone::virtual_bench {

/// One bench, its ladders and what was read since, as a calibration sees them.
class Calibrated {
 public:
  /// Six-rung ladders, each rung a sheet of its own with its own errors.
  Calibrated(const VirtualBench& bench, std::uint64_t seed)
      : bench_(bench), random_(seed, 81), readings_(bench.bare_readings(random_)) {
    append(bench.ladder_readings(6, random_));
  }

  /// Makes and reads a mixture; loads in the bench's order.
  void read_mixture(const std::vector<double>& loads) {
    append(bench_.swatch_readings(loads, "mixture " + std::to_string(++mixtures_), random_));
  }
  void read_mixtures_by_chance(int count) {
    for (int i = 0; i < count; ++i) read_mixture(bench_.random_mixture(random_));
  }
  Calibration calibration(int advise = 0) const {
    const bool film = bench_.kind() == VirtualBench::Kind::painted_film;
    const auto application = film ? Application::film : Application::absorbed;
    return calibrate(calibration_problem(readings_, application).value(), advise).value();
  }
  CounterRandom& random() { return random_; }

 private:
  void append(const std::vector<Reading>& more) {
    readings_.insert(readings_.end(), more.begin(), more.end());
  }

  const VirtualBench& bench_;
  CounterRandom random_;
  std::vector<Reading> readings_;
  int mixtures_ = 0;
};

/// Place in the bench of each of the palette's colorants.
inline std::vector<std::size_t> places(const Palette& palette, const VirtualBench& bench) {
  std::vector<std::size_t> at;
  for (const Colorant& colorant : palette.colorants)
    for (std::size_t j = 0; j < bench.size(); ++j)
      if (bench.colorants()[j].name == colorant.name) at.push_back(j);
  return at;
}

/// Loads of the bench's order in the palette's.
inline std::vector<double> in_order(const Palette& palette, const VirtualBench& bench,
                                    const std::vector<double>& loads) {
  std::vector<double> ordered;
  for (std::size_t j : places(palette, bench)) ordered.push_back(loads[j]);
  return ordered;
}

}  // namespace mendtone::virtual_bench
