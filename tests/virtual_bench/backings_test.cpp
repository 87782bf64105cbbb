#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <string>
#include <vector>

#include "long_runs.hpp"
#include "mendtone/colour/difference.hpp"
#include "mendtone/materials/tissue.hpp"
#include "virtual_bench/bench.hpp"

// What a sheet read over black and white is said to be over other backings, in more plies and
// before a light, against photons. Nothing is misread here: what is left is the layer model, the
// forward scattering and the unevenness that it does not know.
namespace mendtone::virtual_bench::backings_test {
namespace {

using Loads = std::vector<double>;

/// What both models say of a sheet that reads so over black and white.
struct Plies {
  Ply many, two;
};
Plies plies_read_as(const VirtualBench& bench, const std::vector<double>& over_black,
                    const std::vector<double>& over_white) {
  const auto black = bench.backing("black"), white = bench.backing("white");
  const PlyReading readings[] = {{over_black, black}, {over_white, white}};
  return {
      ply_from_readings(bench.grid(), readings, Viewing::at_45_0).value().ply,
      ply_from_two_backings(bench.grid(), {over_black, black}, {over_white, white}).value().ply};
}

Plies read_over_black_and_white(const VirtualBench& bench, const Loads& loads) {
  return plies_read_as(bench, bench.true_reflectance(loads, "black"),
                       bench.true_reflectance(loads, "white"));
}

/// How far off each model was, reading by reading.
struct Off {
  std::vector<double> many, two;
};

/// Mixtures that read L* 70 or more over white.
std::vector<Loads> pale_mixtures(const VirtualBench& bench, int count, CounterRandom& random) {
  std::vector<Loads> all;
  while (all.size() < static_cast<std::size_t>(count)) {
    const Loads loads = bench.random_mixture(random);
    if (bench.true_lab(loads, "white").L >= 70) all.push_back(loads);
  }
  return all;
}

double quantile(std::vector<double> values, double share) {
  std::sort(values.begin(), values.end());
  const auto at = static_cast<std::size_t>(share * static_cast<double>(values.size()));
  return values[std::min(at, values.size() - 1)];
}

struct Errors3 {
  double median, most_95, largest;
};
Errors3 of(const std::vector<double>& errors) {
  return {quantile(errors, 0.5), quantile(errors, 0.95), quantile(errors, 1)};
}
/// Prints both, and gives that of many fluxes.
Errors3 summed(const std::string& what, const Off& off) {
  const Errors3 many = of(off.many), two = of(off.two);
  std::printf("%-24s many fluxes: median %.3f, 95 %% %.3f, largest %.3f; two: %.3f, %.3f, %.3f\n",
              what.c_str(), many.median, many.most_95, many.largest, two.median, two.most_95,
              two.largest);
  return many;
}

/// Each bench is another tissue: another asymmetry, another unevenness.
template <class Ask>
void at_benches(int mixtures, const Ask& ask) {
  const int benches = static_cast<int>(test::count(48, 12));
  for (int b = 0; b < benches; ++b) {
    const auto seed = static_cast<std::uint64_t>(500 + b);
    const VirtualBench bench(VirtualBench::Kind::toned_tissue, seed, no_errors);
    CounterRandom random(seed, 4);
    for (const Loads& loads : pale_mixtures(bench, mixtures, random)) ask(bench, loads);
  }
}

void add(Off& off, const VirtualBench& bench, const Loads& loads, const std::string& under,
         int plies) {
  const Plies read = read_over_black_and_white(bench, loads);
  const Lab truth = bench.true_lab(loads, under, plies);
  const auto miss = [&](const Ply& ply) {
    return de00(*bench.weights().lab(predicted_over(ply, plies, bench.backing(under))), truth);
  };
  off.many.push_back(miss(read.many));
  off.two.push_back(miss(read.two));
}

// Asked for: a median of 0.12, 95 in 100 within 0.3. Held at three times what is reached.
TEST(OverOtherBackings, PaleMixtures) {
  for (const char* under : {"board", "grey", "brown"}) {
    Off off;
    at_benches(8, [&](const VirtualBench& bench, const Loads& loads) {
      add(off, bench, loads, under, 1);
    });
    const Errors3 e = summed(std::string("one ply over ") + under, off);
    EXPECT_LE(e.median, 0.03) << under;
    EXPECT_LE(e.most_95, 0.09) << under;
    EXPECT_LT(e.most_95, of(off.two).most_95) << under;
  }
}

// A tissue filled with chalk: much scattering, hardly any absorption.
TEST(OverOtherBackings, Chalk) {
  const VirtualBench bench(VirtualBench::Kind::toned_tissue, 1, no_errors);
  const auto white = bench.backing("white"), black = bench.backing("black");
  for (const char* under : {"board", "grey"}) {
    Off off;
    for (double g : {0.0, 0.2, 0.4, 0.6})
      for (double chalk : {0.2, 0.5, 1.0, 2.0}) {
        const photons::Slab slab{0.01 + 0.01 * chalk, (1.05 + chalk) / (1 - g), g};
        const auto seen = photons::sheet_truth(slab, photons::Geometry::lamp_45_read_0);
        const auto read = [&](std::vector<double> R) {
          for (double& r : R) r = seen.over(r);
          return R;
        };
        const Plies plies = plies_read_as(bench, read(black), read(white));
        const auto below = bench.backing(under);
        const Lab truth = *bench.weights().lab(read(below));
        off.many.push_back(de00(*bench.weights().lab(predicted_over(plies.many, 1, below)), truth));
        off.two.push_back(de00(*bench.weights().lab(predicted_over(plies.two, 1, below)), truth));
      }
    const Errors3 e = summed(std::string("chalk over ") + under, off);
    EXPECT_LE(e.median, 0.03) << under;
    EXPECT_LE(e.largest, 0.09) << under;
    EXPECT_LT(e.median, of(off.two).median) << under;
  }
}

// Asked for: 95 in 100 within 0.6.
TEST(OverOtherBackings, FourPlies) {
  for (const char* under : {"white", "board", "black"}) {
    Off off;
    at_benches(4, [&](const VirtualBench& bench, const Loads& loads) {
      add(off, bench, loads, under, 4);
    });
    const Errors3 e = summed(std::string("four plies over ") + under, off);
    EXPECT_LE(e.median, 0.2) << under;
    EXPECT_LE(e.most_95, 0.45) << under;
    EXPECT_LT(e.most_95, of(off.two).median) << under;
  }
}

/// Lightness on a sheet of light, bare light being 100.
double lightness_through(const VirtualBench& bench, const Ply& ply, int plies) {
  std::vector<double> T;
  for (const Slab& slab : stacked(ply, plies)) T.push_back(slab.out);
  return bench.weights().lab(T)->L;
}

// Asked for: within 1.0 L* of what the geometry sees, which is along the normal.
TEST(OverOtherBackings, LightSheet) {
  for (int plies : {1, 2, 4}) {
    Off off;
    at_benches(4, [&](const VirtualBench& bench, const Loads& loads) {
      const Plies read = read_over_black_and_white(bench, loads);
      const double truth = bench.weights().lab(bench.true_transmittance(loads, plies).normal)->L;
      off.many.push_back(std::abs(lightness_through(bench, read.many, plies) - truth));
      off.two.push_back(std::abs(lightness_through(bench, read.two, plies) - truth));
    });
    const Errors3 e = summed("light sheet, L*, plies " + std::to_string(plies), off);
    EXPECT_LE(e.most_95, 1.0);
    EXPECT_LT(e.median, of(off.two).median);
  }
}

}  // namespace
}  // namespace mendtone::virtual_bench::backings_test
