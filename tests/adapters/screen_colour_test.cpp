#include "mendtone/adapters/screen_colour.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "mendtone/adapters/screen_picture.hpp"

namespace mendtone::screen_colour_test {
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

// The fast way against LittleCMS's own.
TEST(ScreenPixels, AreWithinOneCodeOfTheLibrary) {
  const auto colours = ScreenColours::open();
  const auto pixels = ScreenPixels::open();
  ASSERT_TRUE(colours);
  ASSERT_TRUE(pixels);
  for (float L = 0; L <= 100; L += 5)
    for (float a = -100; a <= 100; a += 20)
      for (float b = -100; b <= 100; b += 20) {
        const report::ScreenColour c = colours->of({L, a, b}, d50);
        float one[3]{L, a, b};
        std::uint8_t rgb[3];
        pixels->convert(&one[0], &one[1], &one[2], 1, rgb);
        EXPECT_NEAR(rgb[0], c.r, 1) << L << ' ' << a << ' ' << b;
        EXPECT_NEAR(rgb[1], c.g, 1) << L << ' ' << a << ' ' << b;
        EXPECT_NEAR(rgb[2], c.b, 1) << L << ' ' << a << ' ' << b;
      }
}

TEST(ScreenPixels, WhatIsNoNumberIsBlackAndWhatIsBeyondIsCut) {
  const auto pixels = ScreenPixels::open();
  ASSERT_TRUE(pixels);
  float L[2]{std::nanf(""), 300}, a[2]{0, 0}, b[2]{0, 0};
  std::uint8_t rgb[6];
  pixels->convert(L, a, b, 2, rgb);
  EXPECT_EQ(rgb[0], 0);
  EXPECT_EQ(rgb[3], 255);
}

TEST(ScreenPixels, APngHoldsThem) {
  const std::uint8_t rgb[6]{255, 0, 0, 0, 0, 255};
  const auto png = screen_png(rgb, {2, 1});
  ASSERT_TRUE(png);
  EXPECT_EQ(png->substr(1, 3), "PNG");
}

}  // namespace
}  // namespace mendtone::screen_colour_test
