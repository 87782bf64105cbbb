#pragma once
#include <vector>

#include "mendtone/match/correct.hpp"
#include "mendtone/match/dispense.hpp"
#include "virtual_bench/bench.hpp"

namespace mendtone::virtual_bench {

/// Distances from the target, true colours, D65: one row a target, one column a trial.
using Distances = std::vector<std::vector<double>>;

double median(const Distances& all, std::size_t trial);
double percentile95(const Distances& all, std::size_t trial);

/// A planner at a virtual bench: it sees readings only.
class Planner {
 public:
  /// Calibrates on six-rung ladders, each rung a sheet of its own with its own errors.
  Planner(const VirtualBench& bench, std::uint64_t seed);

  /// A first mix, then `corrections` new mixes on fresh sheets.
  std::vector<double> fresh_mixes(const Target& target, int corrections, std::uint64_t seed) const;
  /// 80 % of each load, then `additions` computed coats on the same sheet.
  std::vector<double> coats(const Target& target, int additions, std::uint64_t seed) const;
  const Palette& palette() const { return palette_; }

 private:
  WashProblem problem_for(const Target& target, CounterRandom& random) const;
  std::vector<double> whole_drops(const WashProblem& problem, const std::vector<double>& loads,
                                  double dilution, const std::vector<double>& on_sheet,
                                  const std::vector<double>& strength) const;
  std::vector<double> read(const Sheet& sheet, CounterRandom& random) const;

  const VirtualBench& bench_;
  Palette palette_;
  std::vector<LightAim> lights_;
  std::vector<double> board_;
};

/// The same bench with a planner that knows the truth: what remains is drops and pick-up.
std::vector<double> floor_of_fresh_mix(const VirtualBench& bench, const Target& target,
                                       std::uint64_t seed);
std::vector<double> floor_of_coats(const VirtualBench& bench, const Target& target, int additions,
                                   std::uint64_t seed);

/// The same bench with one constant a band, K/S additive in the loads over white, and the whole
/// measured offset believed.
class NaivePlanner {
 public:
  NaivePlanner(const VirtualBench& bench, std::uint64_t seed);
  std::vector<double> fresh_mixes(const Target& target, int corrections, std::uint64_t seed) const;

 private:
  const VirtualBench& bench_;
  WashProblem problem_;
};

}  // namespace mendtone::virtual_bench
