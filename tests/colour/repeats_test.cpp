#include "mendtone/colour/repeats.hpp"

#include <gtest/gtest.h>

#include "mendtone/colour/difference.hpp"

namespace mendtone::repeats_test {
namespace {

/// A neutral that lies `de` CIEDE2000 lighter than L* 50.
Lab lighter(double de) {
  double low = 50, high = 60;
  for (int i = 0; i < 60; ++i) {
    const double middle = (low + high) / 2;
    (de00({50, 0, 0}, {middle, 0, 0}) < de ? low : high) = middle;
  }
  return {high, 0, 0};
}

// The promise of the header: apart is what lies above five times the median distance (nine times
// with three repeats) and above 0.3. Here that median is 0.2, with three repeats 0.1.
TEST(Outliers, LieFiveTimesTheUsualDistanceAway) {
  const Lab usual = lighter(0.2), darker{100 - usual.L, 0, 0}, middle{50, 0, 0};
  const auto with = [&](double de) {
    return outliers(std::vector<Lab>{middle, usual, darker, middle, usual, darker, lighter(de)});
  };
  EXPECT_TRUE(with(0.97).empty());
  ASSERT_EQ(with(1.03).size(), 1u);
  EXPECT_EQ(with(1.03)[0].index, 6u);
  EXPECT_NEAR(with(1.03)[0].de00, 1.03, 1e-6);
  EXPECT_NEAR(with(1.03)[0].usual_de00, 0.2, 0.002);
}

TEST(Outliers, OfThreeLieNineTimesTheUsualDistanceAway) {
  const Lab middle{50, 0, 0}, near{100 - lighter(0.1).L, 0, 0};
  EXPECT_TRUE(outliers(std::vector<Lab>{near, middle, lighter(0.87)}).empty());
  EXPECT_EQ(outliers(std::vector<Lab>{near, middle, lighter(0.93)}).size(), 1u);
}

TEST(Outliers, BelowThreeTenthsThereAreNone) {
  const Lab middle{50, 0, 0};
  EXPECT_TRUE(outliers(std::vector<Lab>{middle, middle, middle, middle, lighter(0.29)}).empty());
  EXPECT_EQ(outliers(std::vector<Lab>{middle, middle, middle, middle, lighter(0.31)}).size(), 1u);
  EXPECT_TRUE(outliers(std::vector<Lab>{middle, lighter(5)}).empty());
}

Reading spectral(std::size_t bands, double value) {
  Reading reading;
  reading.name = "spot";
  reading.spectrum =
      Spectrum{WavelengthGrid::equal_steps(400, 300.0 / static_cast<double>(bands - 1), bands),
               std::vector<double>(bands, value)};
  return reading;
}

// What data can get wrong is refused, in every build.
TEST(RepeatedColour, RefusesWhatDoesNotFit) {
  const auto weights = *tristimulus_weights(spectral(36, 0.5).spectrum->grid,
                                            *standard_light("D65"), Observer::deg10);
  EXPECT_TRUE(repeated_colour({{spectral(36, 0.5), spectral(36, 0.6)}}, weights));
  EXPECT_FALSE(repeated_colour({{spectral(31, 0.5)}}, weights));
  EXPECT_FALSE(repeated_colour({{spectral(36, 0.5), spectral(31, 0.5)}}, weights));
  EXPECT_FALSE(repeated_colour({{}}, weights));
  Reading lab_only;
  lab_only.lab = BoundLab{50, 0, 0, "D65", 10};
  EXPECT_FALSE(repeated_colour({{lab_only}}, weights));
  EXPECT_TRUE(bound_colour({{lab_only}}));
  EXPECT_FALSE(bound_colour({{spectral(36, 0.5)}}));
  EXPECT_FALSE(bound_colour({{}}));
}

}  // namespace
}  // namespace mendtone::repeats_test
