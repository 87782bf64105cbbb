#include "mendtone/colour/mean_region.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "mendtone/base/random.hpp"

namespace mendtone {
namespace {

// Student's t, two-sided 95 %: the table that every handbook of statistics prints (values from
// memory, three decimals).
TEST(MeanRegion, StudentAgreesWithTheTable) {
  EXPECT_NEAR(student_t95(1), 12.706, 5e-4);
  EXPECT_NEAR(student_t95(2), 4.303, 5e-4);
  EXPECT_NEAR(student_t95(4), 2.776, 5e-4);
  EXPECT_NEAR(student_t95(9), 2.262, 5e-4);
  EXPECT_NEAR(student_t95(30), 2.042, 5e-4);
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

}  // namespace
}  // namespace mendtone
