#include "mendtone/materials/sheet.hpp"

#include <gtest/gtest.h>

#include "mendtone/optics/inversion.hpp"

namespace mendtone::sheet_test {
namespace {

const WavelengthGrid grid = WavelengthGrid::equal_steps(400, 10, 31);

Spectrum flat(double value) {
  return {grid, std::vector<double>(grid.size(), value)};
}

Reading reading(const std::string& name, Role role, const std::string& backing, double value) {
  Reading r;
  r.name = name;
  r.role = role;
  r.backing = backing;
  r.spectrum = flat(value);
  r.source.file = "drawer.csv";
  return r;
}

std::vector<Reading> backing_rows() {
  return {reading("black", Role::backing, "", 0.05), reading("white", Role::backing, "", 0.9),
          reading("board", Role::backing, "", 0.5)};
}

/// `tissue` of KX = 0.1, SX = 0.6 a ply over every backing.
std::vector<Reading> drawer(int plies = 1) {
  std::vector<Reading> rows = backing_rows();
  const Slab slab = layer(plies * 0.1, plies * 0.6);
  for (const char* name : {"black", "white", "board"}) {
    const double Rg = name[1] == 'l' ? 0.05 : name[0] == 'w' ? 0.9 : 0.5;
    rows.push_back(reading("kozo", Role::tissue, name, over(slab, Rg)));
    rows.back().plies = plies;
  }
  return rows;
}

const SheetReadings& named(const std::vector<SheetReadings>& sheets, const std::string& name) {
  for (const SheetReadings& sheet : sheets)
    if (sheet.name == name) return sheet;
  throw std::runtime_error("no sheet " + name);
}

TEST(Sheet, TwoBackingsGiveTheBodyAndTheThirdChecksIt) {
  const auto rows = drawer();
  const auto sheets = sheets_of(rows, *Backings::from(rows), grid);
  const auto found = body_of(named(sheets, "kozo"));
  ASSERT_TRUE(found && found->body);
  EXPECT_NEAR(found->body->ply->K[7], 0.1, 1e-12);
  EXPECT_NEAR(found->body->ply->S[7], 0.6, 1e-12);
  ASSERT_EQ(found->body->checks.size(), 1u);
  EXPECT_EQ(found->body->checks[0].what, "one ply over 'board'");
  EXPECT_LT(found->body->checks[0].worst_error, 1e-12);
  EXPECT_TRUE(found->body->warnings.empty());
}

TEST(Sheet, APileReadTogetherGivesOnePly) {
  const auto rows = drawer(3);
  const auto found = body_of(named(sheets_of(rows, *Backings::from(rows), grid), "kozo"));
  ASSERT_TRUE(found && found->body);
  EXPECT_NEAR(found->body->ply->K[0], 0.1, 1e-11);
  EXPECT_NEAR(found->body->slab[0].T, layer(0.1, 0.6).T, 1e-12);
}

TEST(Sheet, AThirdReadingThatDisagreesIsSaid) {
  auto rows = drawer();
  for (double& value : rows.back().spectrum->value) value += 0.03;
  const auto found = body_of(named(sheets_of(rows, *Backings::from(rows), grid), "kozo"));
  ASSERT_TRUE(found && found->body);
  EXPECT_NEAR(found->body->checks[0].mean_error, 0.03, 1e-12);
  ASSERT_EQ(found->body->warnings.size(), 1u);
}

TEST(Sheet, TransmittanceChecksTheBody) {
  auto rows = drawer();
  rows.back().quantity = Quantity::transmittance;
  rows.back().backing = "";
  rows.back().spectrum = flat(layer(0.1, 0.6).T);
  const auto found = body_of(named(sheets_of(rows, *Backings::from(rows), grid), "kozo"));
  ASSERT_TRUE(found && found->body);
  EXPECT_EQ(found->body->checks[0].what, "the transmittance of one ply");
  EXPECT_LT(found->body->checks[0].worst_error, 1e-12);
}

TEST(Sheet, OneBackingGivesNoBodyAndSaysWhy) {
  auto rows = backing_rows();
  rows.push_back(reading("kozo", Role::tissue, "white", 0.8));
  const auto found = body_of(named(sheets_of(rows, *Backings::from(rows), grid), "kozo"));
  ASSERT_TRUE(found);
  EXPECT_FALSE(found->body);
  EXPECT_NE(found->why_not.find("'white' only"), std::string::npos) << found->why_not;
}

TEST(Sheet, SwappedReadingsAreRefusedWithBandAndNumbers) {
  auto rows = backing_rows();
  rows.push_back(reading("kozo", Role::tissue, "black", 0.80));
  rows.push_back(reading("kozo", Role::tissue, "white", 0.30));
  const auto found = body_of(named(sheets_of(rows, *Backings::from(rows), grid), "kozo"));
  ASSERT_FALSE(found);
  EXPECT_NE(found.error().text().find("400 nm"), std::string::npos) << found.error().text();
  EXPECT_NE(found.error().text().find("0.300"), std::string::npos) << found.error().text();
}

TEST(Sheet, RepeatsAreAveragedAndTheirSpreadKept) {
  auto rows = backing_rows();
  rows.push_back(reading("kozo", Role::tissue, "white", 0.80));
  rows.push_back(reading("kozo", Role::tissue, "white", 0.82));
  const auto sheets = sheets_of(rows, *Backings::from(rows), grid);
  const SheetReading& mean = named(sheets, "kozo").spectral.at(0);
  EXPECT_NEAR(mean.mean[3], 0.81, 1e-15);
  ASSERT_EQ(mean.deviations.size(), 2u);
  EXPECT_NEAR(mean.deviations[1][3], 0.01, 1e-15);
}

TEST(Sheet, FacesThatDifferAreKeptApart) {
  auto rows = backing_rows();
  const Slab sheet = in_front(layer(0.1, 0.6), layer(0.3, 0.4));
  const Slab turned{sheet.R21, sheet.R12, sheet.T};
  for (const Side side : {Side::front, Side::back})
    for (const char* name : {"black", "white"}) {
      const double Rg = name[0] == 'w' ? 0.9 : 0.05;
      rows.push_back(
          reading("chart", Role::target, name, over(side == Side::front ? sheet : turned, Rg)));
      rows.back().side = side;
    }
  const auto found = body_of(named(sheets_of(rows, *Backings::from(rows), grid), "chart"));
  ASSERT_TRUE(found && found->body);
  EXPECT_FALSE(found->body->ply);
  EXPECT_NEAR(found->body->slab[0].R12, sheet.R12, 1e-12);
  EXPECT_NEAR(found->body->slab[0].R21, sheet.R21, 1e-12);
  EXPECT_NEAR(found->body->slab[0].T, sheet.T, 1e-12);
}

TEST(Sheet, CarriedToAnotherBackingByAStatedScattering) {
  const Slab slab = layer(0.2, 45 * 0.060);
  const std::vector<double> R(31, over(slab, 0.89)), white(31, 0.89), black(31, 0.04);
  EXPECT_NEAR(carried_over(R, white, black, 45, 60)[5], over(slab, 0.04), 1e-12);
}

TEST(Backings, SameNameWithOtherReadingsInTwoFilesIsRefused) {
  auto rows = backing_rows();
  rows.push_back(rows.front());
  rows.back().source = {"other.csv", 7, 0};
  EXPECT_TRUE(Backings::from(rows));
  rows.back().spectrum = flat(0.06);
  const auto refused = Backings::from(rows);
  ASSERT_FALSE(refused);
  EXPECT_NE(refused.error().text().find("other.csv, line 7"), std::string::npos);
  EXPECT_NE(refused.error().text().find("drawer.csv"), std::string::npos);
}

TEST(Backings, NominalOnesAreFlaggedAndUnknownOnesAreNotGuessed) {
  const auto none = Backings::from({});
  ASSERT_TRUE(none);
  const auto black = none->find("black", grid);
  ASSERT_TRUE(black);
  EXPECT_TRUE(black->nominal);
  EXPECT_EQ(black->R[0], 0.04);
  EXPECT_FALSE(black->warnings.empty());
  EXPECT_FALSE(none->find("mount board", grid));
}

}  // namespace
}  // namespace mendtone::sheet_test
