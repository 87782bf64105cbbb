#include "photons/truth.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <stdexcept>
#include <vector>

#include "long_runs.hpp"
#include "mendtone/base/random.hpp"

namespace mendtone::photons::truth_test {
namespace {

/// L* of a grey of this reflectance (CIE 15:2018), for differences in steps that people see.
double lightness(double R) {
  return R > 216.0 / 24389 ? 116 * std::cbrt(R) - 16 : R * 24389 / 27;
}

/// One check: the tables against photons that were not used for them, in L*; `error` is the
/// photons' standard error.
struct Off {
  double lightness = 0, error = 0;
};

Off off(double table, const Estimate& fresh) {
  const double slope = lightness(fresh.value + 1e-6) - lightness(fresh.value - 1e-6);
  return {lightness(table) - lightness(fresh.value), slope / 2e-6 * fresh.error};
}

constexpr double backings[] = {0.04, 0.2, 0.5, 0.85};

/// Root of the mean square, less what the fresh photons' own errors put into it.
struct Sum {
  double squares = 0, errors = 0, worst = 0;
  int n = 0;

  void add(const Off& one) {
    squares += one.lightness * one.lightness;
    errors += one.error * one.error;
    worst = std::max(worst, std::abs(one.lightness) / one.error);
    ++n;
  }
  double rms() const { return std::sqrt(squares / n); }
  double of_fresh() const { return std::sqrt(errors / n); }
  double of_tables() const { return std::sqrt(std::max(0.0, squares - errors) / n); }
};

/// The long run sends enough photons to tell 0.01 L* of the tables' own from theirs; the short one
/// says that nothing else than noise is seen.
void expect_only_noise(const Sum& sum) {
  EXPECT_LT(sum.worst, 5);
  EXPECT_LT(sum.rms(), 1.6 * sum.of_fresh());
  if (test::count(1, 0) == 1) {
    EXPECT_LT(sum.of_tables(), 0.01);
  }
}

double log_uniform(double low, double high, CounterRandom& random) {
  return low * std::pow(high / low, random.uniform());
}

void print(const char* what, const Sum& sum) {
  std::printf(
      "%s: tables less fresh photons, root of the mean square %.4f L*, of which the fresh "
      "ones' own %.4f; the tables' %.4f\n",
      what, sum.rms(), sum.of_fresh(), sum.of_tables());
}

// Drawn anywhere between the nodes, against photons that the tables have not seen.
TEST(PhotonTables, SheetsFollowFreshPhotons) {
  CounterRandom random(31);
  const int slabs = static_cast<int>(test::count(24, 12));
  const std::size_t photons = test::count(1'000'000, 50'000);
  for (Geometry geometry : {Geometry::lamp_45_read_0, Geometry::diffuse_read_8}) {
    Sum sum;
    for (int i = 0; i < slabs; ++i) {
      const double g = 0.6 * random.uniform(), reduced = log_uniform(0.05, 5, random);
      const double absorbed = log_uniform(0.003, 3, random);
      const Slab slab{absorbed, reduced / (1 - g), g};
      const Sent sent({g, 1, {slab.scattered}}, geometry, photons, 100 + static_cast<unsigned>(i));
      const Functions table = sheet_truth(slab, geometry);
      for (double Rg : backings) sum.add(off(table.over(Rg), sent.over(absorbed, Rg)));
      sum.add(off(table.through_hemisphere, sent.estimate(absorbed, [](const Functions& f) {
        return f.through_hemisphere;
      })));
    }
    print(geometry == Geometry::lamp_45_read_0 ? "45:0" : "diffuse:8", sum);
    expect_only_noise(sum);
  }
}

TEST(PhotonTables, FilmsFollowFreshPhotons) {
  CounterRandom random(32);
  const int slabs = static_cast<int>(test::count(16, 10));
  Sum sum;
  for (int i = 0; i < slabs; ++i) {
    const Slab slab{log_uniform(0.003, 4, random), log_uniform(0.003, 4, random), 0.6};
    const Sent sent({slab.asymmetry, 1.5, {slab.scattered}}, Geometry::lamp_45_read_0,
                    test::count(1'000'000, 50'000), 200 + static_cast<unsigned>(i));
    for (double Rg : backings)
      sum.add(off(film_truth(slab).over(Rg), sent.over(slab.absorbed, Rg)));
  }
  print("Films", sum);
  expect_only_noise(sum);
}

// Between the nodes too: energy, and no way round through which light would be made.
TEST(PhotonTables, MakeNoLight) {
  CounterRandom random(33);
  double lost = 0, made = 0, most = 0, least = 1;
  for (int i = 0; i < 2000; ++i) {
    const double g = 0.6 * random.uniform(), reduced = log_uniform(1e-3, 6, random);
    const Functions clear = sheet_truth({0, reduced / (1 - g), g}, Geometry::diffuse_read_8);
    lost = std::max(lost, std::abs(clear.r_d + clear.through_hemisphere - 1));
    made = std::max(made, std::abs(clear.over(1) - 1));
    const double absorbed = log_uniform(1e-3, 10, random);
    for (Geometry geometry : {Geometry::lamp_45_read_0, Geometry::diffuse_read_8}) {
      const Functions f = sheet_truth({absorbed, reduced / (1 - g), g}, geometry);
      most = std::max({most, f.r_d + f.through_hemisphere, f.t_in, f.t_out});
      least = std::min({least, f.r, f.r_d, f.t_in, f.t_out});
    }
  }
  // Noise of a share of the light, largest for the deepest slabs: 2e-4 is 0.01 L* near white.
  EXPECT_LT(lost, 2e-4);
  EXPECT_LT(made, 4e-4);
  EXPECT_LT(most, 1);
  EXPECT_GT(least, 0);
}

// Without scattering only absorption on the straight way is left, E3 for diffuse light.
TEST(PhotonTables, ClearSheets) {
  const Functions f = sheet_truth({0.5, 0, 0.3}, Geometry::lamp_45_read_0);
  EXPECT_NEAR(f.t_out, std::exp(-0.5), 2e-4);
  EXPECT_NEAR(f.t_in, std::exp(-0.5 * std::sqrt(2.0)), 2e-4);
  // 2 E3(0.5) = 0.443208, from Abramowitz & Stegun's table 5.1 by way of E1: from memory.
  EXPECT_NEAR(f.through_hemisphere, 0.4432, 3e-4);
  EXPECT_EQ(f.r, 0);
}

TEST(PhotonTables, RefuseWhatTheyDoNotHold) {
  EXPECT_THROW(sheet_truth({0, 1, 0.7}, Geometry::lamp_45_read_0), std::out_of_range);
  EXPECT_THROW(sheet_truth({0, 9, 0}, Geometry::lamp_45_read_0), std::out_of_range);
  EXPECT_THROW(sheet_truth({-0.1, 1, 0}, Geometry::lamp_45_read_0), std::out_of_range);
  EXPECT_THROW(film_truth({0, 1, 0.3}), std::out_of_range);
}

}  // namespace
}  // namespace mendtone::photons::truth_test
