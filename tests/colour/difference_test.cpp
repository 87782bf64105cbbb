#include "mendtone/colour/difference.hpp"

#include <gtest/gtest.h>
#include <lcms2.h>

#include <cmath>
#include <vector>

#include "colour/sharma_pairs.hpp"
#include "long_runs.hpp"
#include "mendtone/base/random.hpp"
#include "mendtone/colour/de00_planar.hpp"

namespace mendtone::difference_test {
namespace {

using test::sharma_pairs;
using test::SharmaPair;

TEST(Ciede2000, SharmaPairsInBothOrders) {
  for (const SharmaPair& p : sharma_pairs) {
    EXPECT_NEAR(de00(p.one, p.two), p.published, 5e-5);
    EXPECT_NEAR(de00(p.two, p.one), p.published, 5e-5);
    EXPECT_NEAR(de00(p.one, p.two), p.computed, 6e-9);  // computed to eight decimals
    EXPECT_NEAR(de_ab(p.one, p.two), p.de_ab, 5.1e-5);
    EXPECT_NEAR(de94(p.one, p.two), p.de94, 5.1e-5);
  }
}

TEST(Ciede2000, TheTermsMakeUpTheDifference) {
  const De00 d = ciede2000({50, 2.5, 0}, {56, -27, -3}, {2, 1, 1});
  EXPECT_NEAR(d.lightness, ciede2000({50, 2.5, 0}, {56, -27, -3}).lightness / 2, 1e-15);
  const De00 lightness_only = ciede2000({50, 3, 4}, {57, 3, 4});
  EXPECT_NEAR(lightness_only.value, std::abs(lightness_only.lightness), 1e-12);
}

// Difference per unit at paper tones, computed by computed.mjs to three decimals.
TEST(Ciede2000, APinkCastCostsTwiceAYellowOne) {
  const auto step = [](Lab at, double L, double a, double b) {
    return de00(at, {at.L + L, at.a + a, at.b + b});
  };
  EXPECT_NEAR(step({86, 2, 14}, 1, 0, 0), 0.648, 5e-4);
  EXPECT_NEAR(step({86, 2, 14}, 0, 1, 0), 1.250, 5e-4);
  EXPECT_NEAR(step({86, 2, 14}, 0, 0, 1), 0.614, 5e-4);
  EXPECT_NEAR(step({92, 0, 4}, 0, 0, 1), 0.832, 5e-4);
  EXPECT_NEAR(step({70, 8, 24}, 1, 0, 0), 0.769, 5e-4);
}

TEST(SignedDifference, HueTurnsWithItsSign) {
  const SignedDifference d = signed_difference({60, 10, 0}, {61, 0, 10});
  EXPECT_DOUBLE_EQ(d.dL, 1);
  EXPECT_NEAR(d.dC, 0, 1e-12);
  EXPECT_NEAR(d.dH, std::sqrt(200.0), 1e-12);  // all of the difference is hue
  EXPECT_NEAR(signed_difference({60, 0, 10}, {61, 10, 0}).dH, -std::sqrt(200.0), 1e-12);
}

struct Pair {
  Lab one, two;
};

std::vector<Pair> random_pairs(std::size_t count, std::uint64_t stream) {
  CounterRandom random(34, stream);
  const auto colour = [&] {
    return Lab{100 * random.uniform(), 256 * random.uniform() - 128, 256 * random.uniform() - 128};
  };
  std::vector<Pair> pairs(count);
  for (std::size_t i = 0; i < count; ++i) {
    pairs[i] = {colour(), colour()};
    if (i % 2 == 0) {  // every other pair are neighbours, a few of them nearly grey
      const double spread = 3 * random.uniform();
      Lab& one = pairs[i].one;
      if (i % 8 == 0) one = {one.L, one.a / 100, one.b / 100};
      pairs[i].two = {one.L + spread * random.normal(), one.a + spread * random.normal(),
                      one.b + spread * random.normal()};
    }
  }
  return pairs;
}

/// Degrees by which the two hues miss being opposite, in the formula's own stretched plane.
double from_opposite(const Pair& p) {
  const double mean = (std::hypot(p.one.a, p.one.b) + std::hypot(p.two.a, p.two.b)) / 2;
  const double G =
      0.5 * (1 - std::sqrt(std::pow(mean, 7) / (std::pow(mean, 7) + std::pow(25.0, 7))));
  const double turn = std::atan2((1 + G) * (p.one.a * p.two.b - p.one.b * p.two.a),
                                 (1 + G) * (1 + G) * p.one.a * p.two.a + p.one.b * p.two.b);
  return 180 - std::abs(turn) * 180 / 3.14159265358979323846;
}

// A second witness: LittleCMS's own function.
TEST(Ciede2000, AMillionRandomPairsAgreeWithLittleCms) {
  const std::size_t count = 1000000;
  std::size_t compared = 0;
  double worst = 0;
  for (const Pair& p : random_pairs(count, 0)) {
    if (from_opposite(p) < 1e-6) continue;
    const cmsCIELab one{p.one.L, p.one.a, p.one.b}, two{p.two.L, p.two.a, p.two.b};
    worst = std::max(worst, std::abs(de00(p.one, p.two) - cmsCIE2000DeltaE(&one, &two, 1, 1, 1)));
    ++compared;
  }
  EXPECT_GT(compared, count - 10);
  EXPECT_LT(worst, 1e-4);
}

template <class Number>
double worst_planar_error(const std::vector<Pair>& pairs) {
  std::vector<Number> plane[6];
  for (const Pair& p : pairs) {
    const double value[6] = {p.one.L, p.one.a, p.one.b, p.two.L, p.two.a, p.two.b};
    for (int i = 0; i < 6; ++i) plane[i].push_back(static_cast<Number>(value[i]));
  }
  std::vector<Number> out(pairs.size());
  de00_planar({plane[0], plane[1], plane[2]}, {plane[3], plane[4], plane[5]},
              std::span<Number>(out));
  double worst = 0;
  for (std::size_t i = 0; i < out.size(); ++i) {
    const double exact =
        de00({plane[0][i], plane[1][i], plane[2][i]}, {plane[3][i], plane[4][i], plane[5][i]});
    worst = std::max(worst, std::abs(static_cast<double>(out[i]) - exact));
  }
  return worst;
}

std::vector<Pair> hard_pairs() {
  std::vector<Pair> pairs;
  for (const SharmaPair& p : sharma_pairs) {
    pairs.push_back({p.one, p.two});
    pairs.push_back({p.two, p.one});
  }
  for (double chroma : {0.0, 1e-20, 1e-6, 0.01, 1.0, 30.0, 180.0})
    for (double hue = 0; hue < 6.3; hue += 0.01)
      for (double miss : {0.0, 1e-12, 1e-7, 1e-4, 0.003, 0.03, 0.3, 3.1})
        pairs.push_back({{50, chroma * std::cos(hue), chroma * std::sin(hue)},
                         {52, -20 * std::cos(hue + miss), -20 * std::sin(hue + miss)}});
  pairs.push_back({{50, 0, 0}, {50, 0, 0}});
  pairs.push_back({{0, 0, 0}, {100, 0, 0}});
  return pairs;
}

TEST(De00Planar, FloatKeepsItsPromise) {
  EXPECT_LT(worst_planar_error<float>(hard_pairs()), 5e-4);
  EXPECT_LT(worst_planar_error<float>(random_pairs(test::count(10000000, 300000), 1)), 5e-4);
}

TEST(De00Planar, DoubleKeepsItsPromise) {
  EXPECT_LT(worst_planar_error<double>(hard_pairs()), 1e-6);
  EXPECT_LT(worst_planar_error<double>(random_pairs(test::count(10000000, 300000), 2)), 1e-6);
}

TEST(De00Planar, AnyLengthAndNone) {
  const auto pairs = random_pairs(1030, 3);
  EXPECT_LT(worst_planar_error<float>({pairs.begin(), pairs.begin() + 1}), 5e-4);
  EXPECT_LT(worst_planar_error<float>(pairs), 5e-4);
  EXPECT_EQ(worst_planar_error<float>({}), 0);
}

}  // namespace
}  // namespace mendtone::difference_test
