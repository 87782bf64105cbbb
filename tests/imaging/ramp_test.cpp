#include "mendtone/imaging/ramp.hpp"

#include <gtest/gtest.h>

#include "mendtone/colour/difference.hpp"

namespace mendtone::ramp_test {
namespace {

// Lightness alone tells the order, so any kind of colour vision reads it; steps are equal.
TEST(Ramps, AmountDarkensInEqualSteps) {
  const auto ramp = amount_ramp(64);
  double first = de00(ramp[0], ramp[1]);
  for (std::size_t i = 1; i < ramp.size(); ++i) {
    EXPECT_LT(ramp[i].L, ramp[i - 1].L);
    // The way has corners, where a chord is shorter than the path.
    EXPECT_NEAR(de00(ramp[i - 1], ramp[i]), first, 0.15 * first);
  }
}

// Red- and green-blind eyes lose the red-green axis and keep blue-yellow (textbook knowledge): the
// arms must stand apart along b*, and each must darken outwards.
TEST(Ramps, SignedArmsStandApartInBlueAndYellow) {
  const auto ramp = signed_ramp(65);
  for (std::size_t i = 8; i <= 32; ++i)
    EXPECT_GT(ramp[32 + i].b - ramp[32 - i].b, 1.2 * static_cast<double>(i)) << i;
  for (std::size_t i = 1; i <= 32; ++i) {
    EXPECT_LT(ramp[32 + i].L, ramp[32 + i - 1].L);
    EXPECT_LT(ramp[32 - i].L, ramp[32 - i + 1].L);
  }
}

}  // namespace
}  // namespace mendtone::ramp_test
