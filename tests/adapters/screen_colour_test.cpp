#include "mendtone/adapters/screen_colour.hpp"

#include <gtest/gtest.h>

namespace mendtone {
namespace {

constexpr Xyz d50{96.42, 100, 82.49};
constexpr Xyz d65_10{94.811, 100, 107.304};

TEST(ScreenColours, ThePerfectDiffuserIsTheScreensWhiteUnderAnyLight) {
  const auto colours = ScreenColours::open();
  ASSERT_TRUE(colours);
  for (const Xyz& white : {d50, d65_10, Xyz{109.85, 100, 35.585}}) {
    const report::ScreenColour c = colours->of({100, 0, 0}, white);
    EXPECT_EQ(c.r, 255);
    EXPECT_EQ(c.g, 255);
    EXPECT_EQ(c.b, 255);
    EXPECT_FALSE(c.outside);
  }
}

// sRGB's red and a middle grey in CIELAB under D50, as colour tables print them (values from
// memory, two decimals).
TEST(ScreenColours, KnownColoursComeOut) {
  const auto colours = ScreenColours::open();
  ASSERT_TRUE(colours);
  const report::ScreenColour red = colours->of({54.29, 80.80, 69.89}, d50);
  EXPECT_NEAR(red.r, 255, 1);
  EXPECT_NEAR(red.g, 0, 3);
  EXPECT_NEAR(red.b, 0, 3);
  const report::ScreenColour grey = colours->of({53.585, 0, 0}, d50);
  EXPECT_NEAR(grey.r, 128, 1);
  EXPECT_NEAR(grey.g, 128, 1);
  EXPECT_NEAR(grey.b, 128, 1);
}

TEST(ScreenColours, WhatAScreenCannotShowIsMarked) {
  const auto colours = ScreenColours::open();
  ASSERT_TRUE(colours);
  EXPECT_TRUE(colours->of({60, 90, 80}, d50).outside);
  EXPECT_TRUE(colours->of({60, -90, 0}, d65_10).outside);
  EXPECT_FALSE(colours->of({84.6, 2.4, 15.8}, d65_10).outside);
}

}  // namespace
}  // namespace mendtone
