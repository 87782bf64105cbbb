#include "mendtone/spectral/reading_set.hpp"

#include <gtest/gtest.h>

#include "mendtone/spectral/comparable.hpp"

namespace mendtone::reading_set_test {
namespace {

Reading reading(std::string name, double value) {
  Reading r;
  r.name = std::move(name);
  r.backing = "black";
  r.condition = Condition::m1;
  r.geometry = "45/0";
  r.state = State::dry;
  r.side = Side::front;
  r.spectrum = Spectrum{WavelengthGrid::equal_steps(400, 10, 31), std::vector<double>(31, value)};
  return r;
}

TEST(Repeats, OneNameUnderOneSetOfConditionsIsOneGroup) {
  std::vector<Reading> all{reading("margin", 0.6), reading("stain", 0.3), reading("margin", 0.7)};
  all.push_back(reading("margin", 0.9));
  all.back().backing = "white";
  const auto groups = group_repeats(all);
  ASSERT_EQ(groups.size(), 3u);
  EXPECT_EQ(groups[0].readings.size(), 2u);
  const Spectrum mean = mean_spectrum(groups[0]).value();
  for (double value : mean.value) EXPECT_NEAR(value, 0.65, 1e-15);
  EXPECT_EQ(groups[1].name(), "stain");
  EXPECT_EQ(groups[2].first().backing, "white");
}

// What data can get wrong is refused, in every build.
TEST(Repeats, HaveAMeanOnlyWhereTheirSpectraFit) {
  Reading lab_only = reading("margin", 0.6);
  lab_only.spectrum.reset();
  Reading other_grid = reading("margin", 0.6);
  other_grid.spectrum =
      Spectrum{WavelengthGrid::equal_steps(400, 20, 16), std::vector<double>(16, 0.6)};
  Reading torn = reading("margin", 0.6);
  torn.spectrum->value.pop_back();
  EXPECT_FALSE(mean_spectrum({}));
  EXPECT_FALSE(mean_spectrum({{lab_only}}));
  EXPECT_FALSE(mean_spectrum({{torn}}));
  for (const Reading& odd : {lab_only, other_grid, torn})
    EXPECT_FALSE(mean_spectrum({{reading("margin", 0.6), odd}}));
}

TEST(Repeats, LabsOfTwoObserversAreTwoThings) {
  std::vector<Reading> all{reading("margin", 0.6), reading("margin", 0.6)};
  for (Reading& one : all) {
    one.spectrum.reset();
    one.lab = BoundLab{86, 2, 14, "D50", 2};
  }
  EXPECT_EQ(group_repeats(all).size(), 1u);
  all[1].lab->observer_deg = 10;
  EXPECT_EQ(group_repeats(all).size(), 2u);
}

TEST(Repeats, LabOnlyStaysApartFromSpectra) {
  std::vector<Reading> all{reading("margin", 0.6), reading("margin", 0.6)};
  all[1].spectrum.reset();
  all[1].lab = BoundLab{86, 2, 14, "D50", 2};
  EXPECT_EQ(group_repeats(all).size(), 2u);
}

TEST(Repeats, AreCalledByTheirMarkElseByTheirPlace) {
  std::vector<Reading> all{reading("margin", 0.6), reading("margin", 0.6)};
  all[0].repeat = "b";
  const auto groups = group_repeats(all);
  EXPECT_EQ(repeat_label(groups[0], 0), "b");
  EXPECT_EQ(repeat_label(groups[0], 1), "2");
}

TEST(Comparability, EqualConditionsCompareWithoutAWord) {
  const auto verdict = comparability(reading("a", 0.5), reading("a", 0.6));
  EXPECT_TRUE(verdict.allowed());
  EXPECT_TRUE(verdict.warnings.empty());
}

struct Refused {
  const char* why;
  void (*change)(Reading&);
};

class RefusedPair : public testing::TestWithParam<Refused> {};

TEST_P(RefusedPair, NamesTheReason) {
  Reading after = reading("a", 0.6);
  GetParam().change(after);
  const auto verdict = comparability(reading("a", 0.5), after);
  ASSERT_EQ(verdict.refusals.size(), 1u);
  EXPECT_NE(verdict.refusals[0].find(GetParam().why), std::string::npos) << verdict.refusals[0];
  EXPECT_FALSE(comparability(after, reading("a", 0.5)).allowed());
}

INSTANTIATE_TEST_SUITE_P(
    Comparability, RefusedPair,
    testing::Values(Refused{"brightener", [](Reading& r) { r.condition = Condition::m2; }},
                    Refused{"polarised", [](Reading& r) { r.condition = Condition::m3; }},
                    Refused{"backing", [](Reading& r) { r.backing = "white"; }},
                    Refused{"state", [](Reading& r) { r.state = State::wet; }},
                    Refused{"side", [](Reading& r) { r.side = Side::back; }},
                    Refused{"geometry", [](Reading& r) { r.geometry = "d/8 specular included"; }},
                    Refused{"measured", [](Reading& r) { r.quantity = Quantity::transmittance; }}));

TEST(Comparability, RefusesLabUnderTwoLights) {
  Reading one = reading("a", 0.5), two = one;
  one.spectrum.reset();
  two.spectrum.reset();
  one.lab = BoundLab{86, 2, 14, "D50", 2};
  two.lab = BoundLab{86, 2, 14, "D65", 10};
  EXPECT_FALSE(comparability(one, two).allowed());
  two.lab = one.lab;
  EXPECT_TRUE(comparability(one, two).allowed());
}

TEST(Comparability, WarnsWhereItIsSoundButWeaker) {
  Reading silent = reading("a", 0.5), m0 = silent, other = silent;
  silent.backing.clear();
  m0.condition = Condition::m0;
  other.instrument = "lent by the museum next door";
  Reading mine = reading("a", 0.5);
  mine.instrument = "ours";
  EXPECT_EQ(comparability(mine, silent).warnings.size(), 1u);
  EXPECT_EQ(comparability(mine, m0).warnings.size(), 1u);
  EXPECT_EQ(comparability(mine, other).warnings.size(), 1u);
  EXPECT_TRUE(comparability(mine, other).allowed());
}

TEST(Comparability, SpellingsOfOneGeometryAgree) {
  Reading one = reading("a", 0.5), two = one;
  two.geometry = "45°:0° annular";
  EXPECT_TRUE(comparability(one, two).warnings.empty());
  one.geometry = "d/8 specular included";
  two.geometry = "d/8 specular excluded";
  EXPECT_FALSE(comparability(one, two).allowed());
}

TEST(BrightenerPair, IsM1WithM2OfOneSheet) {
  Reading one = reading("a", 0.5), two = one;
  two.condition = Condition::m2;
  EXPECT_TRUE(is_brightener_pair(one, two));
  EXPECT_TRUE(is_brightener_pair(two, one));
  EXPECT_FALSE(is_brightener_pair(one, one));
  two.backing = "white";
  EXPECT_FALSE(is_brightener_pair(one, two));
}

}  // namespace
}  // namespace mendtone::reading_set_test
