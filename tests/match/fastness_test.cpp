#include "mendtone/match/fastness.hpp"

#include <gtest/gtest.h>

namespace mendtone::fastness_test {
namespace {

// S. Michalski, Time's effects on paintings (1990), as quoted by the CAMEO database of the Museum
// of Fine Arts, Boston: without ultraviolet about 400,000 lx h for ISO 1 and 900 million for ISO 8;
// each class takes two to three times the light of the one before.
TEST(Fastness, ClassesLieBetweenThePublishedEnds) {
  EXPECT_NEAR(dose_of_blue_wool(1).lux_hours, 0.4e6, 1);
  EXPECT_NEAR(dose_of_blue_wool(8).lux_hours, 900e6, 1e-3 * 900e6);
  for (int wool = 2; wool <= 8; ++wool) {
    const double factor = dose_of_blue_wool(wool).lux_hours / dose_of_blue_wool(wool - 1).lux_hours;
    EXPECT_GT(factor, 2);
    EXPECT_LT(factor, 3.1);
    EXPECT_NEAR(dose_of_blue_wool(wool).low, dose_of_blue_wool(wool - 1).lux_hours, 1);
  }
}

TEST(Fastness, TheLowestClassChangesFirstAndNothingIsSaidWhereNoneIsStated) {
  EXPECT_EQ(years_ahead({{"ochre", {}}, {"carbon", {}}}, 1e5), "");
  EXPECT_EQ(first_to_change({{"ochre", 8}, {"rose", 4}, {"carbon", {}}})->name, "rose");
  const std::string words = years_ahead({{"ochre", 8}, {"rose", 4}, {"carbon", {}}}, 1e5);
  // Class 4: 0.4 x 3.0136^3 = 10.95 Mlx h (by hand), 109.5 years at 100,000 lx h.
  EXPECT_NE(words.find("rose (blue wool 4) changes first, noticeably after about 11 Mlx h (3.6 to "
                       "33)"),
            std::string::npos)
      << words;
  EXPECT_NE(words.find("about 110 years (36 to 330)"), std::string::npos) << words;
  EXPECT_NE(words.find("no class is stated for carbon"), std::string::npos) << words;
  EXPECT_EQ(years_ahead({{"rose", 4}}, {}).find("years ("), std::string::npos);
}

}  // namespace
}  // namespace mendtone::fastness_test
