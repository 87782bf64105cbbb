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
namespace mendtone::virtual_bench {
namespace {

using Loads = std::vector<double>;

Ply read_over_black_and_white(const VirtualBench& bench, const Loads& loads) {
  const auto black = bench.backing("black"), white = bench.backing("white");
  const auto over_black = bench.true_reflectance(loads, "black");
  const auto over_white = bench.true_reflectance(loads, "white");
  return ply_from_two_backings(bench.grid(), {over_black, black}, {over_white, white}).value().ply;
}

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
Errors3 summed(const char* what, const std::vector<double>& errors) {
  const Errors3 e{quantile(errors, 0.5), quantile(errors, 0.95), quantile(errors, 1)};
  std::printf("%-34s median %.3f, 95 %% %.3f, largest %.3f of %zu\n", what, e.median, e.most_95,
              e.largest, errors.size());
  return e;
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

double off(const VirtualBench& bench, const Ply& ply, const Loads& loads, const std::string& under,
           int plies) {
  const Lab predicted = *bench.weights().lab(predicted_over(ply, plies, bench.backing(under)));
  return de00(predicted, bench.true_lab(loads, under, plies));
}

// The limits are what two fluxes reach. The aim for one ply is a median of 0.12, 95 in 100 within
// 0.3; for four plies 95 in 100 within 0.6; on a light sheet within 1.0 L*.
struct Limit {
  const char* under;
  double median, most_95;
};

TEST(OverOtherBackings, PaleMixtures) {
  for (const auto& [under, median, most_95] :
       {Limit{"board", 0.15, 0.18}, {"grey", 0.40, 0.50}, {"brown", 0.43, 0.55}}) {
    std::vector<double> errors;
    at_benches(8, [&](const VirtualBench& bench, const Loads& loads) {
      errors.push_back(off(bench, read_over_black_and_white(bench, loads), loads, under, 1));
    });
    const Errors3 e = summed((std::string("one ply over ") + under).c_str(), errors);
    EXPECT_LE(e.median, median) << under;
    EXPECT_LE(e.most_95, most_95) << under;
  }
}

// A tissue filled with chalk: much scattering, hardly any absorption.
TEST(OverOtherBackings, Chalk) {
  const VirtualBench bench(VirtualBench::Kind::toned_tissue, 1, no_errors);
  const auto white = bench.backing("white"), black = bench.backing("black");
  for (const auto& [under, median, most] : {Limit{"board", 0.23, 0.27}, {"grey", 0.3, 0.42}}) {
    std::vector<double> errors;
    for (double g : {0.0, 0.2, 0.4, 0.6})
      for (double chalk : {0.2, 0.5, 1.0, 2.0}) {
        const photons::Slab slab{0.01 + 0.01 * chalk, (1.05 + chalk) / (1 - g), g};
        const auto seen = photons::sheet_truth(slab, photons::Geometry::lamp_45_read_0);
        const auto read = [&](std::vector<double> R) {
          for (double& r : R) r = seen.over(r);
          return R;
        };
        const auto over_black = read(black), over_white = read(white);
        const Ply ply =
            ply_from_two_backings(bench.grid(), {over_black, black}, {over_white, white})
                .value()
                .ply;
        const auto below = bench.backing(under);
        errors.push_back(de00(*bench.weights().lab(predicted_over(ply, 1, below)),
                              *bench.weights().lab(read(below))));
      }
    const Errors3 e = summed((std::string("chalk over ") + under).c_str(), errors);
    EXPECT_LE(e.median, median) << under;
    EXPECT_LE(e.largest, most) << under;
  }
}

TEST(OverOtherBackings, FourPlies) {
  for (const auto& [under, median, most_95] :
       {Limit{"white", 0.6, 0.7}, {"board", 0.62, 0.7}, {"black", 1.15, 1.5}}) {
    std::vector<double> errors;
    at_benches(4, [&](const VirtualBench& bench, const Loads& loads) {
      errors.push_back(off(bench, read_over_black_and_white(bench, loads), loads, under, 4));
    });
    const Errors3 e = summed((std::string("four plies over ") + under).c_str(), errors);
    EXPECT_LE(e.median, median) << under;
    EXPECT_LE(e.most_95, most_95) << under;
  }
}

/// Lightness on a sheet of light, bare light being 100.
double lightness_through(const VirtualBench& bench, const std::vector<double>& T) {
  return bench.weights().lab(T)->L;
}

TEST(OverOtherBackings, LightSheet) {
  for (int plies : {1, 2, 4}) {
    std::vector<double> errors, signed_errors, against_normal;
    at_benches(4, [&](const VirtualBench& bench, const Loads& loads) {
      const Ply ply = read_over_black_and_white(bench, loads);
      std::vector<double> T;
      for (const Slab& slab : stacked(ply, plies)) T.push_back(slab.T);
      const VirtualBench::Through truth = bench.true_transmittance(loads, plies);
      const double predicted = lightness_through(bench, T);
      signed_errors.push_back(predicted - lightness_through(bench, truth.hemisphere));
      errors.push_back(std::abs(signed_errors.back()));
      against_normal.push_back(predicted - lightness_through(bench, truth.normal));
    });
    const std::string what = "light sheet, plies: " + std::to_string(plies);
    EXPECT_LE(summed(what.c_str(), errors).most_95, 9);
    std::printf("  less the truth, median: hemisphere %+.2f, along the normal %+.2f L*\n",
                quantile(signed_errors, 0.5), quantile(against_normal, 0.5));
  }
}

}  // namespace
}  // namespace mendtone::virtual_bench
