#include "mendtone/spectral/grid.hpp"

#include <gtest/gtest.h>

#include "mendtone/spectral/doubts.hpp"

namespace mendtone::grid_test {
namespace {

TEST(WavelengthGrid, TakesWhatRisesAndNothingElse) {
  const auto two = WavelengthGrid::from_nm({400, 700});
  ASSERT_TRUE(two);
  EXPECT_EQ(two->step(), 300);
  EXPECT_FALSE(WavelengthGrid::from_nm({400}));
  EXPECT_FALSE(WavelengthGrid::from_nm({400, 400, 410}));
  EXPECT_FALSE(WavelengthGrid::from_nm({400, 410, 405}));
  EXPECT_FALSE(WavelengthGrid::from_nm({-10, 400, 410}));
  EXPECT_FALSE(WavelengthGrid::from_nm({0, 400, 410}));
  EXPECT_FALSE(WavelengthGrid().step());
}

// The promise of the header: steps are equal to 1e-6 nm.
TEST(WavelengthGrid, StepsAreEqualToAMillionth) {
  EXPECT_TRUE(WavelengthGrid::from_nm({400, 410.0000009, 420})->step());
  EXPECT_FALSE(WavelengthGrid::from_nm({400, 410.0000011, 420})->step());
  EXPECT_FALSE(WavelengthGrid::from_nm({400, 410, 430})->step());
}

TEST(Coverage, CountsTheBandsThatAreHeldOn) {
  const Coverage visible = coverage(WavelengthGrid::equal_steps(400, 10, 31));
  EXPECT_EQ(visible.bands_missing_below, 2u);
  EXPECT_EQ(visible.bands_missing_above, 8u);
  EXPECT_FALSE(visible.enough);
  const Coverage just = coverage(WavelengthGrid::equal_steps(380, 10, 36));
  EXPECT_TRUE(just.enough);
  EXPECT_EQ(just.bands_missing_below, 0u);
  EXPECT_EQ(just.bands_missing_above, 5u);
  EXPECT_FALSE(coverage(WavelengthGrid::equal_steps(380, 10, 35)).enough);
  EXPECT_FALSE(coverage(WavelengthGrid::equal_steps(381, 10, 36)).enough);
  EXPECT_EQ(coverage(WavelengthGrid::equal_steps(380, 10, 41)).bands_missing_above, 0u);
  EXPECT_FALSE(coverage(WavelengthGrid()).enough);
}

/// A reading of which everything is stated.
Reading stated(std::vector<double> values) {
  Reading reading;
  reading.name = "margin";
  reading.condition = Condition::m1;
  reading.geometry = "45/0";
  reading.backing = "black";
  reading.state = State::dry;
  const std::size_t bands = values.size();
  reading.spectrum = Spectrum{WavelengthGrid::equal_steps(380, 10, bands), std::move(values)};
  return reading;
}

TEST(Doubts, NameValuesThatNoPaperHas) {
  std::vector<double> values(36, 0.5);
  EXPECT_TRUE(doubts({{stated(values)}}).empty());
  values[0] = 0;
  values[1] = 1.2;  // the widest usual one is no doubt yet
  EXPECT_TRUE(doubts({{stated(values)}}).empty());
  values[2] = -0.01;
  values[3] = 1.21;
  const auto found = doubts({{stated(values)}});
  ASSERT_EQ(found.size(), 2u);
  EXPECT_TRUE(found[0].starts_with("1 values below 0, the lowest -0.0100")) << found[0];
  EXPECT_TRUE(found[1].starts_with("1 values above 1.2, the highest 1.210")) << found[1];
}

TEST(Doubts, NameWhatIsNotStated) {
  Reading silent = stated(std::vector<double>(36, 0.5));
  silent.backing.clear();
  silent.state = State::unstated;
  auto found = doubts({{silent}});
  ASSERT_EQ(found.size(), 1u);
  EXPECT_EQ(found[0], "not stated: backing, state (dry, pasted, sized, wet)");
  silent.role = Role::substrate;  // lies on nothing that would show through
  EXPECT_EQ(doubts({{silent}})[0], "not stated: state (dry, pasted, sized, wet)");
  silent.role = Role::backing;
  EXPECT_EQ(doubts({{silent}})[0], "not stated: state (dry, pasted, sized, wet)");
}

}  // namespace
}  // namespace mendtone::grid_test
