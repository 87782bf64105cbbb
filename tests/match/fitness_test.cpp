#include "mendtone/match/fitness.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "mendtone/colour/difference.hpp"

namespace mendtone::fitness_test {
namespace {

// Common practice put into numbers, no source; the weights are those of the pilot chart.
TEST(Fitness, IsAskedByUse) {
  EXPECT_EQ(fitness_by_weight(Use::loss, 68, 78).fit, "fits");
  EXPECT_EQ(fitness_by_weight(Use::loss, 81.9, 78).fit, "fits");
  EXPECT_NE(fitness_by_weight(Use::loss, 3.5, 78).because.find("too light"), std::string::npos);
  EXPECT_NE(fitness_by_weight(Use::loss, 92, 78).because.find("heavier"), std::string::npos);
  EXPECT_EQ(fitness_by_weight(Use::tear, 9, 78).fit, "fits");
  EXPECT_NE(fitness_by_weight(Use::tear, 40, 78).because.find("too heavy"), std::string::npos);
  EXPECT_EQ(fitness_by_weight(Use::lining, 78, 78).fit, "fits");
  EXPECT_EQ(fitness_by_weight(Use::lining, 79, 78).fit, "does not fit");
  EXPECT_EQ(fitness_by_weight(Use::loss, std::nullopt, 78).fit, "not known");
  EXPECT_EQ(fitness_by_weight(Use::loss, 12, std::nullopt).fit, "not known");
  EXPECT_EQ(fitness_by_weight(Use::loss, 12, 0).fit, "not known");
}

TEST(Fitness, AimsAreLighterForALossAlone) {
  EXPECT_EQ(default_aim_dL(Use::loss), 0.5);
  EXPECT_EQ(default_aim_dL(Use::tear), 0);
  EXPECT_EQ(default_aim_dL(Use::lining), 0);
}

// Tails of the normal distribution, any table: 0.158655 beyond one, 0.0227501 beyond two.
TEST(Fitness, ChanceOfComingOutDarker) {
  EXPECT_NEAR(chance_of_darker(0.5, 0.5), 0.158655, 1e-6);
  EXPECT_NEAR(chance_of_darker(1, 0.5), 0.0227501, 1e-7);
  EXPECT_NEAR(chance_of_darker(0, 0.5), 0.5, 1e-12);
  EXPECT_NEAR(chance_of_darker(-0.5, 0.5), 1 - 0.158655, 1e-6);
  EXPECT_EQ(chance_of_darker(-0.1, 0), 1);
  EXPECT_EQ(chance_of_darker(0.1, 0), 0);
}

// Of CIEDE2000 itself: a small step in L* of that many standard deviations is u95 in all.
// Tolerance: the formula's curvature over a step of 0.01.
TEST(Fitness, TheSpreadInLightnessIsThatOfTheDifference) {
  for (const double L : {20.0, 50.0, 86.0}) {
    const double sd = sd_of_lightness(L, 0.01);
    EXPECT_NEAR(de00({L, 2, 14}, {L + sd, 2, 14}) * std::sqrt(7.814728), 0.01, 1e-5) << L;
  }
}

// As a published introduction to colour measurement has it: at 50 cm a field of 2 degrees is a
// circle of 1.7 cm, one of 10 degrees a circle of 8.8 cm (rounded there to one decimal).
TEST(Fitness, VisualAngleAndItsObserver) {
  EXPECT_NEAR(visual_angle_deg(1.7, 50), 2, 0.06);
  EXPECT_NEAR(visual_angle_deg(8.8, 50), 10, 0.06);
  EXPECT_NEAR(visual_angle_of_area_deg(7.5, 50), 3.5, 0.05);
  EXPECT_EQ(observer_for_angle(3.99), 2);
  EXPECT_EQ(observer_for_angle(4), 10);
}

}  // namespace
}  // namespace mendtone::fitness_test
