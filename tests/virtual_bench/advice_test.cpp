#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>

#include "long_runs.hpp"
#include "mendtone/colour/difference.hpp"
#include "virtual_bench/calibrated.hpp"

namespace mendtone::virtual_bench::advice_test {
namespace {

/// How far mixtures that were never read are predicted from their true colour over the board.
struct Off {
  double median = 0, rms = 0;
};

Off off(const VirtualBench& bench, const Palette& palette, std::uint64_t seed) {
  CounterRandom random(seed, 82);
  std::vector<double> de;
  double square = 0;
  constexpr int mixtures = 200;
  for (int i = 0; i < mixtures; ++i) {
    const auto loads = bench.random_mixture(random);
    const auto R = reflectance(palette, in_order(palette, bench, loads), 1, bench.backing("board"));
    de.push_back(de00(*bench.weights().lab(R), bench.true_lab(loads, "board")));
    square += de.back() * de.back() / mixtures;
  }
  std::sort(de.begin(), de.end());
  return {de[mixtures / 2], std::sqrt(square)};
}

Calibration with_advice(const VirtualBench& bench, std::uint64_t seed, int count) {
  Calibrated calibrated(bench, seed);
  const Calibration before = calibrated.calibration(count);
  const auto at = places(before.palette, bench);
  for (const AdvisedSwatch& swatch : before.advice) {
    EXPECT_LE(swatch.after_de00, swatch.before_de00);
    std::vector<double> loads(bench.size(), 0.0);
    for (std::size_t j = 0; j < at.size(); ++j) loads[at[j]] = swatch.loads[j];
    calibrated.read_mixture(loads);
  }
  return calibrated.calibration();
}

Calibration with_chance(const VirtualBench& bench, std::uint64_t seed, int count) {
  Calibrated calibrated(bench, seed);
  calibrated.read_mixtures_by_chance(count);
  return calibrated.calibration();
}

/// Mean over benches of what differs from one to another, and how far that mean may stray.
struct Mean {
  double sum = 0, squares = 0;
  int n = 0;

  void add(double x) {
    sum += x;
    squares += x * x;
    ++n;
  }
  double value() const { return sum / n; }
  double error() const { return std::sqrt((squares / n - value() * value()) / (n - 1)); }
};

// Chance is hard to beat here: it draws from the very mixtures that will be asked about, and what
// ladders leave open is mostly each strength, of which any swatch tells as much as its dosing lets
// it. By its own posterior the ten advised leave 0.97 of what ten by chance leave (48 benches).
// Many benches are needed to see that, each with the same errors' sizes for both; what is held is
// the difference, bench by bench, within twice its own error of no loss, and in the long run a
// gain.
TEST(Advice, TeachesMoreThanChance) {
  const int benches = static_cast<int>(test::count(48, 4));
  std::vector<int> counts{10};
  if (benches > 4) counts = {10, 20, 40};
  Mean all_gains;
  for (int count : counts) {
    Off advice, chance;
    Mean gain;
    for (int b = 0; b < benches; ++b) {
      const std::uint64_t seed = 3000 + static_cast<std::uint64_t>(b);
      const VirtualBench bench(VirtualBench::Kind::toned_tissue, seed);
      const auto add = [&](Off& sum, const Calibration& calibration) {
        const Off one = off(bench, calibration.palette, seed);
        sum.median += one.median / benches;
        sum.rms += one.rms / benches;
        return one.rms;
      };
      const double advised = add(advice, with_advice(bench, seed, count));
      const double random = add(chance, with_chance(bench, seed, count));
      gain.add(1 - advised / random);
      all_gains.add(1 - advised / random);
    }
    std::printf(
        "ladders and %2d mixtures, %d benches, median / rms: advised %.3f / %.3f, by chance "
        "%.3f / %.3f; rms lower by %.1f +- %.1f %%\n",
        count, benches, advice.median, advice.rms, chance.median, chance.rms, 100 * gain.value(),
        100 * gain.error());
    EXPECT_GE(gain.value(), -2 * gain.error());
  }
  if (counts.size() > 1) {
    EXPECT_GT(all_gains.value(), 0);
  }
}

}  // namespace
}  // namespace mendtone::virtual_bench::advice_test
