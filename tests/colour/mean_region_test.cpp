#include "mendtone/colour/mean_region.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "mendtone/base/random.hpp"
#include "mendtone/colour/conformance.hpp"

namespace mendtone::mean_region_test {
namespace {

// Student's t, two-sided 95 %: the table that every handbook of statistics prints (values from
// memory, three decimals).
TEST(MeanRegion, StudentAgreesWithTheTable) {
  EXPECT_NEAR(student_quantile(0.975, 1), 12.706, 5e-4);
  EXPECT_NEAR(student_quantile(0.975, 2), 4.303, 5e-4);
  EXPECT_NEAR(student_quantile(0.975, 4), 2.776, 5e-4);
  EXPECT_NEAR(student_quantile(0.975, 9), 2.262, 5e-4);
  EXPECT_NEAR(student_quantile(0.975, 30), 2.042, 5e-4);
}

TEST(MeanRegion, TwoRepeatsSayNothing) {
  const std::vector<Lab> two = {{80, 2, 10}, {80.1, 2, 10.1}};
  EXPECT_FALSE(mean_region95(two));
}

TEST(MeanRegion, TheMajorAxisLiesAlongTheSpread) {
  const std::vector<Lab> along = {{80, 1, 1}, {80, 2, 2.01}, {80, 3, 2.99}, {80, 4, 4}};
  const auto region = mean_region95(along);
  ASSERT_TRUE(region);
  EXPECT_NEAR(region->ab_angle_deg, 45, 1);
  EXPECT_LT(region->ab_minor, 0.02 * region->ab_major);
}

// 20 000 sets of correlated normal repeats: both regions hold the true mean in 95 % of them. Three
// standard errors of such a share are 0.46 %.
TEST(MeanRegion, HoldsTheTrueMeanNineteenTimesInTwenty) {
  CounterRandom random(5);
  for (const int n : {3, 5, 10}) {
    constexpr int sets = 20000;
    int in_L = 0, in_ab = 0;
    for (int i = 0; i < sets; ++i) {
      std::vector<Lab> repeats;
      Lab mean;
      for (int k = 0; k < n; ++k) {
        const double u = random.normal(), v = random.normal();
        const Lab lab{0.2 * random.normal(), 0.1 * u, 0.3 * u + 0.05 * v};
        repeats.push_back(lab);
        mean = {mean.L + lab.L / n, mean.a + lab.a / n, mean.b + lab.b / n};
      }
      const auto r = mean_region95(repeats);
      in_L += std::abs(mean.L) <= r->L_half;
      const double angle = r->ab_angle_deg * 3.14159265358979323846 / 180;
      const double along = mean.a * std::cos(angle) + mean.b * std::sin(angle);
      const double across = -mean.a * std::sin(angle) + mean.b * std::cos(angle);
      in_ab += std::hypot(along / r->ab_major, across / r->ab_minor) <= 1;
    }
    EXPECT_NEAR(in_L / static_cast<double>(sets), 0.95, 0.0047) << n;
    EXPECT_NEAR(in_ab / static_cast<double>(sets), 0.95, 0.0047) << n;
  }
}

// R. A. Johnson and D. W. Wichern, Applied Multivariate Statistical Analysis, example 5.3
// (radiation through the doors of 42 ovens): covariances 0.0144, 0.0117, 0.0146 give a 95 % ellipse
// whose longer half axis is 0.064, along (0.704, 0.710). From memory; to the digits printed.
TEST(MeanRegion, APublishedConfidenceEllipse) {
  constexpr int n = 42;
  constexpr double pi = 3.14159265358979323846;
  // Points on a circle have the same spread in every direction; then stretched to S.
  const double l11 = std::sqrt(0.0144), l21 = 0.0117 / l11, l22 = std::sqrt(0.0146 - l21 * l21);
  std::vector<Lab> repeats;
  for (int i = 0; i < n; ++i) {
    const double turn = 2 * pi * i / n, r = std::sqrt(2.0 * (n - 1) / n);
    const double x = r * std::cos(turn), y = r * std::sin(turn);
    repeats.push_back({50, 0.564 + l11 * x, 0.603 + l21 * x + l22 * y});
  }
  const auto region = mean_region95(repeats);
  ASSERT_TRUE(region);
  EXPECT_NEAR(region->ab_major, 0.064, 5e-4);
  EXPECT_NEAR(region->ab_angle_deg, std::atan2(0.710, 0.704) * 180 / pi, 0.05);
}

}  // namespace
}  // namespace mendtone::mean_region_test
