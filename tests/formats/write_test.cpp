#include "mendtone/formats/write.hpp"

#include <gtest/gtest.h>

#include <clocale>
#include <cstdlib>

#include "bands.hpp"
#include "mendtone/base/random.hpp"

namespace mendtone::write_test {
namespace {

/// A reading that states everything, with numbers that need all their digits.
Reading full(int seed) {
  CounterRandom random(static_cast<std::uint64_t>(seed));
  Reading r;
  r.name = "margin, \"left\" " + std::to_string(seed);
  r.repeat = "2";
  r.role = Role::swatch;
  r.quantity = seed % 2 ? Quantity::transmittance : Quantity::reflectance;
  r.backing = "black; felt";
  r.plies = 2;
  r.side = Side::back;
  r.state = State::sized;
  r.geometry = "45/0";
  r.condition = Condition::m2;
  r.instrument = "# bench";
  r.aperture_mm = 1 / 3.0;
  r.lot = "L1";
  r.stock = "S1";
  r.grammage_g_m2 = 12.3456789012345;
  r.loads = {{"burnt umber", random.uniform()}, {"ochre", 0}};
  r.load_unit = LoadUnit::ml_m2;
  Spectrum spectrum{WavelengthGrid::equal_steps(380, 10, 36), {}};
  for (int i = 0; i < 36; ++i) spectrum.value.push_back(random.uniform());
  r.spectrum = std::move(spectrum);
  r.lab = BoundLab{50 + random.uniform(), random.normal(), random.normal(), "D50", 2};
  return r;
}

void expect_same(const Reading& a, const Reading& b, bool quotes_kept) {
  if (quotes_kept) {
    EXPECT_EQ(a.name, b.name);
  }
  EXPECT_EQ(a.repeat, b.repeat);
  EXPECT_EQ(a.role, b.role);
  EXPECT_EQ(a.quantity, b.quantity);
  EXPECT_EQ(a.backing, b.backing);
  EXPECT_EQ(a.plies, b.plies);
  EXPECT_EQ(a.side, b.side);
  EXPECT_EQ(a.state, b.state);
  EXPECT_EQ(a.geometry, b.geometry);
  EXPECT_EQ(a.condition, b.condition);
  EXPECT_EQ(a.instrument, b.instrument);
  EXPECT_EQ(a.aperture_mm, b.aperture_mm);
  EXPECT_EQ(a.lot, b.lot);
  EXPECT_EQ(a.stock, b.stock);
  EXPECT_EQ(a.grammage_g_m2, b.grammage_g_m2);
  EXPECT_EQ(a.loads, b.loads);
  EXPECT_EQ(a.load_unit, b.load_unit);
  ASSERT_EQ(a.spectrum.has_value(), b.spectrum.has_value());
  if (a.spectrum) {
    EXPECT_EQ(a.spectrum->grid, b.spectrum->grid);
    EXPECT_EQ(a.spectrum->value, b.spectrum->value);
  }
  ASSERT_EQ(a.lab.has_value(), b.lab.has_value());
  if (a.lab) {
    EXPECT_EQ(a.lab->L, b.lab->L);
    EXPECT_EQ(a.lab->a, b.lab->a);
    EXPECT_EQ(a.lab->b, b.lab->b);
    EXPECT_EQ(a.lab->light, b.lab->light);
    EXPECT_EQ(a.lab->observer_deg, b.lab->observer_deg);
  }
}

/// Full readings, a bare Lab, and a reading on other wavelengths.
std::vector<Reading> mixed() {
  std::vector<Reading> readings{full(1), full(2)};
  Reading lab;
  lab.name = "rim";
  lab.lab = BoundLab{86.1, 2, 14.25, "D65", 10};
  readings.push_back(lab);
  Reading coarse;
  coarse.name = "1";
  coarse.spectrum = Spectrum{WavelengthGrid::equal_steps(400, 20, 16), std::vector(16, 0.125)};
  readings.push_back(coarse);
  return readings;
}

TEST(Write, CsvComesBackWhole) {
  // The Lab of a random spectrum is not its own, so the scale column must hold.
  const std::vector<Reading> readings = mixed();
  const auto back = read_readings(readings_to_csv(readings), "x.csv");
  ASSERT_TRUE(back) << back.error().text();
  ASSERT_EQ(back->readings.size(), readings.size());
  for (std::size_t i = 0; i < readings.size(); ++i)
    expect_same(readings[i], back->readings[i], true);
}

TEST(Write, CgatsComesBackWholeButForQuotes) {
  const std::vector<Reading> readings = mixed();
  const auto back = read_readings(readings_to_cgats(readings), "x.txt");
  ASSERT_TRUE(back) << back.error().text();
  ASSERT_EQ(back->readings.size(), readings.size());
  for (std::size_t i = 0; i < readings.size(); ++i)
    expect_same(readings[i], back->readings[i], false);
  EXPECT_EQ(back->readings[0].name, "margin, 'left' 1");
}

// CGATS.17 keywords (from memory): SAMPLE_BACKING, MEASUREMENT_GEOMETRY, MEASUREMENT_SOURCE,
// INSTRUMENTATION, WEIGHTING_FUNCTION. Other programs look for conditions in the header.
TEST(Write, ConditionsThatAllShareStandInTheHeaderOfCgats) {
  std::vector<Reading> readings{full(1), full(3)};
  const std::string text = readings_to_cgats(readings);
  for (const char* line : {"SAMPLE_BACKING\t\"black; felt\"\n", "MEASUREMENT_GEOMETRY\t\"45/0\"\n",
                           "MEASUREMENT_SOURCE\t\"M2\"\n", "INSTRUMENTATION\t\"# bench\"\n",
                           "WEIGHTING_FUNCTION\t\"ILLUMINANT, D50\"\n",
                           "WEIGHTING_FUNCTION\t\"OBSERVER, 2 degree\"\n"})
    EXPECT_NE(text.find(line), std::string::npos) << line;
  const auto back = read_readings(text, "x.txt");
  ASSERT_TRUE(back) << back.error().text();
  ASSERT_EQ(back->readings.size(), 2u);
  for (std::size_t i = 0; i < 2; ++i) expect_same(readings[i], back->readings[i], false);
  // What one of them does not state is in no header, or it would be stated for that one too.
  readings[1].backing.clear();
  const std::string apart = readings_to_cgats(readings);
  EXPECT_EQ(apart.find("SAMPLE_BACKING"), std::string::npos);
  EXPECT_EQ(read_readings(apart, "x.txt")->readings[1].backing, "");
}

TEST(Write, AFluorescentFractionIsNotTakenForPercent) {
  Reading r;
  r.name = "day-glow";
  r.spectrum = Spectrum{WavelengthGrid::equal_steps(400, 10, 31), std::vector(31, 2.1)};
  for (const std::string& text :
       {readings_to_csv(std::vector{r}), readings_to_cgats(std::vector{r})}) {
    const auto back = read_readings(text, "x");
    ASSERT_TRUE(back) << back.error().text();
    EXPECT_EQ(back->readings[0].spectrum->value[0], 2.1);
  }
}

TEST(Locale, ADecimalCommaChangesNothing) {
  const std::string before = readings_to_csv(mixed());
  setenv("LOCPATH", MENDTONE_LOCALES, 1);
  ASSERT_NE(std::setlocale(LC_ALL, "de_DE.UTF-8"), nullptr);
  ASSERT_STREQ(std::localeconv()->decimal_point, ",");
  EXPECT_EQ(readings_to_csv(mixed()), before);
  const auto back = read_readings(before, "x.csv");
  std::setlocale(LC_ALL, "C");
  ASSERT_TRUE(back) << back.error().text();
  EXPECT_EQ(back->readings[0].spectrum->value, mixed()[0].spectrum->value);
}

}  // namespace
}  // namespace mendtone::write_test
