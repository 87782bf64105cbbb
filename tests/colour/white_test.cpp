#include <gtest/gtest.h>

#include "mendtone/colour/weights.hpp"

namespace mendtone {
namespace {

/// The check figures in CIE tables commonly quoted stop the lamp at 780 nm.
Light cut_at_780(Light light) {
  std::vector<double> nm(light.power.grid.nm().begin(), light.power.grid.nm().end());
  while (nm.back() > 780) {
    nm.pop_back();
    light.power.value.pop_back();
  }
  light.power.grid = *WavelengthGrid::from_nm(std::move(nm));
  return light;
}

TEST(White, D65FromTheTablesAtOneNanometre) {
  const auto grid = WavelengthGrid::equal_steps(360, 1, 471);
  const auto light = standard_light("D65");
  ASSERT_TRUE(light);
  const auto two = tristimulus_weights(grid, cut_at_780(*light), Observer::deg2);
  ASSERT_TRUE(two);
  EXPECT_NEAR(two->white.X, 95.0469, 5e-5);
  EXPECT_NEAR(two->white.Z, 108.8830, 5e-5);
  const auto ten = tristimulus_weights(grid, cut_at_780(*light), Observer::deg10);
  ASSERT_TRUE(ten);
  EXPECT_NEAR(ten->white.X, 94.8109, 5e-5);
  EXPECT_NEAR(ten->white.Z, 107.3048, 5e-5);
}

TEST(White, TheDefinedTailOfD65MovesItByTwoTenThousandths) {
  const auto grid = WavelengthGrid::equal_steps(360, 1, 471);
  const auto two = tristimulus_weights(grid, *standard_light("D65"), Observer::deg2);
  ASSERT_TRUE(two);
  EXPECT_NEAR(two->white.X, 95.0469, 2e-4);
  EXPECT_GT(two->white.X, 95.0470);
}

}  // namespace
}  // namespace mendtone
