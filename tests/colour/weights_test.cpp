#include "mendtone/colour/weights.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "colour/lights.hpp"
#include "mendtone/base/random.hpp"
#include "mendtone/colour/difference.hpp"

namespace mendtone::weights_test {
namespace {

/// The weights that correspond to computed.mjs: four-point Lagrange to 1 nm, ends held.
TristimulusWeights lagrange(const WavelengthGrid& grid, std::string_view light, Observer observer) {
  return *tristimulus_weights(grid, test::light_to_780(light), observer, Interpolation::lagrange4);
}

const WavelengthGrid visible = WavelengthGrid::equal_steps(400, 10, 31);

// The reflectance of an ASTM E308 worked check, 400-700 nm; found in colour-science,
// test_tristimulus_values.py.
const std::vector<double> astm_reflectance{
    0.0641, 0.0654, 0.0645, 0.0605, 0.0562, 0.0543, 0.0537, 0.0541, 0.0559, 0.0603, 0.0651,
    0.0680, 0.0705, 0.0736, 0.0772, 0.0809, 0.0870, 0.0990, 0.1128, 0.1251, 0.1360, 0.1439,
    0.1511, 0.1590, 0.1688, 0.1828, 0.1996, 0.2187, 0.2397, 0.2618, 0.2852};

struct AstmRow {
  const char* light;
  Observer observer;
  double X, Y, Z, L, a, b;
};

class AstmChain : public testing::TestWithParam<AstmRow> {};

// By computed.mjs: Lagrange to 1 nm, ends held, printed to five and four decimals;
// the witness interpolated its lamps linearly from 5 nm, as is done here.
TEST_P(AstmChain, GivesTheTristimulusValuesAndLab) {
  const AstmRow& row = GetParam();
  const TristimulusWeights weights = lagrange(visible, row.light, row.observer);
  const Xyz xyz = *weights.xyz(astm_reflectance);
  EXPECT_NEAR(xyz.X, row.X, 2e-5);
  EXPECT_NEAR(xyz.Y, row.Y, 2e-5);
  EXPECT_NEAR(xyz.Z, row.Z, 2e-5);
  const Lab lab = *weights.lab(astm_reflectance);
  EXPECT_NEAR(lab.L, row.L, 1e-4);
  EXPECT_NEAR(lab.a, row.a, 1e-4);
  EXPECT_NEAR(lab.b, row.b, 1e-4);
}

INSTANTIATE_TEST_SUITE_P(
    Golden, AstmChain,
    testing::Values(
        AstmRow{"A", Observer::deg2, 14.54069, 10.88617, 2.04967, 39.3881, 16.0782, 18.2621},
        AstmRow{"D50", Observer::deg2, 11.52937, 9.95044, 4.71002, 37.7533, 14.6307, 15.6711},
        AstmRow{"D65", Observer::deg2, 10.84013, 9.68427, 6.21634, 37.2697, 12.8653, 14.8329},
        AstmRow{"D50", Observer::deg10, 11.29120, 9.72228, 4.64315, 37.3393, 14.4564, 14.9806},
        AstmRow{"D65", Observer::deg10, 10.55854, 9.42309, 6.13087, 36.7865, 13.0295, 13.9804},
        AstmRow{"A", Observer::deg10, 14.38199, 10.74547, 2.01594, 39.1484, 15.1919, 17.9962},
        AstmRow{"LED-B1", Observer::deg2, 14.30597, 10.91880, 1.88524, 39.4434, 12.9998, 18.8610},
        AstmRow{"LED-B3", Observer::deg2, 11.99954, 10.20152, 3.80393, 38.2017, 12.2856, 16.8235}));

// ASTM E308 with its own tabulated 10 nm weights gives 14.38257202, 10.74568178, 2.01588427; the
// shipped weights must agree to the stated 0.002.
TEST(Weights, TheShippedOnesAgreeWithAstmTables) {
  const auto weights = *tristimulus_weights(visible, *standard_light("A"), Observer::deg10);
  const Xyz xyz = *weights.xyz(astm_reflectance);
  EXPECT_NEAR(xyz.X, 14.38257202, 2e-3);
  EXPECT_NEAR(xyz.Y, 10.74568178, 2e-3);
  EXPECT_NEAR(xyz.Z, 2.01588427, 2e-3);
}

void expect_weights(const std::vector<double>& made, std::size_t first,
                    const std::vector<double>& printed) {
  for (std::size_t i = 0; i < printed.size(); ++i)
    EXPECT_NEAR(made[first + i], printed[i], 1e-3) << "band " << i;
}

// ASTM E2022 weights, 20 nm, D65, 2 degrees, from 400 nm; printed to three decimals.
TEST(Weights, LagrangeReproducesAstmTablesAt20nm) {
  const auto w = lagrange(WavelengthGrid::equal_steps(360, 20, 22), "D65", Observer::deg2);
  expect_weights(w.wx, 2,
                 {0.179, 2.542, 6.670, 6.333, 2.213, 0.052, 1.348, 5.767, 11.301, 16.256, 17.933,
                  14.020, 7.057, 2.527, 0.670, 0.140, 0.035});
  expect_weights(w.wy, 2,
                 {0.002, 0.071, 0.453, 1.316, 2.933, 6.866, 14.106, 18.981, 18.863, 15.455, 10.699,
                  6.277, 2.743, 0.927, 0.242, 0.050, 0.013});
  expect_weights(w.wz, 2,
                 {0.829, 12.203, 33.637, 36.334, 18.278, 5.543, 1.611, 0.382, 0.068, 0.025, 0.013,
                  0.003, 0, 0, 0, 0, 0});
}

// The same, 10 nm, A, 10 degrees, X.
TEST(Weights, LagrangeReproducesAstmTablesAt10nm) {
  const auto w = lagrange(WavelengthGrid::equal_steps(360, 10, 43), "A", Observer::deg10);
  expect_weights(w.wx, 4,
                 {0.025,  0.134, 0.377, 0.686, 0.964, 1.080, 1.006, 0.731,  0.343,  0.078,  0.022,
                  0.218,  0.750, 1.642, 2.842, 4.336, 6.200, 8.262, 10.227, 11.945, 12.746, 12.337,
                  10.817, 8.560, 6.014, 3.887, 2.309, 1.276, 0.666, 0.336,  0.166});
}

/// A smooth reflectance at 1 nm: bumps 35 nm wide, squeezed between 0.02 and 0.95.
std::vector<double> smooth_spectrum(CounterRandom& random) {
  double height[22];
  for (double& h : height) h = 1.5 * random.normal();
  const double shift = 25 * random.uniform();
  std::vector<double> spectrum;
  for (int nm = 360; nm <= 830; ++nm) {
    double y = 0;
    for (int k = 0; k < 22; ++k) {
      const double t = (nm - (335 + 25 * k - shift)) / 35;
      y += height[k] * std::exp(-t * t / 2);
    }
    spectrum.push_back(0.02 + 0.93 / (1 + std::exp(-y)));
  }
  return spectrum;
}

class TenNanometres : public testing::TestWithParam<std::tuple<const char*, Observer>> {};

// 10 nm readings at 380-730 nm against their own 1 nm truth at 360-830 nm.
TEST_P(TenNanometres, AreAsGoodAsOne) {
  const auto [name, observer] = GetParam();
  const Light light = *standard_light(name);
  const auto truth = *tristimulus_weights(WavelengthGrid::equal_steps(360, 1, 471), light, observer,
                                          Interpolation::linear);
  const auto weights =
      *tristimulus_weights(WavelengthGrid::equal_steps(380, 10, 36), light, observer);
  CounterRandom random(300);
  double sum = 0, worst = 0;
  for (int i = 0; i < 300; ++i) {
    const std::vector<double> fine = smooth_spectrum(random);
    std::vector<double> read;
    for (std::size_t band = 0; band < 36; ++band) read.push_back(fine[20 + 10 * band]);
    const double d = de00(*truth.lab(fine), *weights.lab(read));
    sum += d;
    worst = std::max(worst, d);
  }
  EXPECT_LE(sum / 300, 0.005);
  EXPECT_LE(worst, 0.3);
}

INSTANTIATE_TEST_SUITE_P(Lights, TenNanometres,
                         testing::Combine(testing::Values("A", "D50", "D65", "LED-B1", "LED-B3",
                                                          "LED-RGB1", "FL11"),
                                          testing::Values(Observer::deg2, Observer::deg10)));

TEST(Weights, TheWhiteIsTheSumAndHasYOf100) {
  for (const std::string& name : standard_light_names()) {
    const auto weights = *tristimulus_weights(visible, *standard_light(name), Observer::deg10);
    EXPECT_NEAR(weights.white.Y, 100, 1e-10) << name;
    const std::vector<double> diffuser(31, 1.0);
    const Lab lab = *weights.lab(diffuser);
    EXPECT_NEAR(lab.L, 100, 1e-10);
    EXPECT_NEAR(lab.a, 0, 1e-10);
    EXPECT_NEAR(lab.b, 0, 1e-10);
  }
}

// 31 bands under weights of 36 once gave a plausible L* of 76.
TEST(Weights, RefuseAReflectanceOfOtherBands) {
  const auto weights = *tristimulus_weights(WavelengthGrid::equal_steps(380, 10, 36),
                                            *standard_light("D65"), Observer::deg10);
  const std::vector<double> short_one(31, 0.5), right(36, 0.5);
  EXPECT_TRUE(weights.lab(right));
  for (const auto& refused : {weights.lab(short_one).error(), weights.xyz(short_one).error()})
    EXPECT_EQ(refused.message, "a colour under D65 needs 36 bands, one a wavelength; found 31");
}

TEST(Weights, RefuseARangeThatWouldBeAGuess) {
  const auto light = *standard_light("D65");
  EXPECT_FALSE(
      tristimulus_weights(WavelengthGrid::equal_steps(420, 10, 30), light, Observer::deg2));
  EXPECT_FALSE(
      tristimulus_weights(WavelengthGrid::equal_steps(380, 10, 30), light, Observer::deg2));
  EXPECT_TRUE(tristimulus_weights(WavelengthGrid::equal_steps(400, 20, 16), light, Observer::deg2));
}

TEST(Weights, ServeGridsOfUnequalSteps) {
  std::vector<double> nm{380, 395, 400, 412, 425, 440, 455, 470, 490, 505, 520,
                         540, 560, 580, 595, 610, 630, 650, 680, 700, 730};
  const auto grid = *WavelengthGrid::from_nm(nm);
  const auto weights = *tristimulus_weights(grid, *standard_light("LED-B1"), Observer::deg2);
  const auto fine = *tristimulus_weights(WavelengthGrid::equal_steps(380, 1, 351),
                                         *standard_light("LED-B1"), Observer::deg2);
  const auto value = [](double x) { return 0.5 + 0.3 * std::sin((x - 380) / 60); };
  std::vector<double> coarse, exact;
  for (double x : nm) coarse.push_back(value(x));
  for (int x = 380; x <= 730; ++x) exact.push_back(value(x));
  EXPECT_LT(de00(*weights.lab(coarse), *fine.lab(exact)), 0.02);
}

}  // namespace
}  // namespace mendtone::weights_test
