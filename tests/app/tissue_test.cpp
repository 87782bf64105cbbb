#include "mendtone/app/tissue/tissue.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "mendtone/colour/difference.hpp"
#include "mendtone/optics/layer_model.hpp"
#include "mendtone/results/walk.hpp"

namespace mendtone::app::tissue_test {
namespace {

const WavelengthGrid grid = WavelengthGrid::equal_steps(380, 10, 36);

Reading reading(const std::string& name, Role role, const std::string& backing,
                std::vector<double> values) {
  Reading r;
  r.name = name;
  r.role = role;
  r.backing = backing;
  r.state = State::dry;
  r.condition = Condition::m2;
  r.geometry = "45/0";
  r.spectrum = Spectrum{grid, std::move(values)};
  r.source = {"invented.csv", 1, 0};
  return r;
}

double backing_of(const std::string& name) {
  return name == "black" ? 0.04 : name == "white" ? 0.89 : 0.78;
}

/// s in m2/kg, k falling from its value at 450 nm: an invented tissue or paper, as 45:0 sees it.
std::vector<Slab> body(double grammage, double s, double k,
                       LayerModel model = LayerModel::many_fluxes_45_0) {
  // Diffuse light absorbs twice what its path along the normal would.
  if (model != LayerModel::two_fluxes) k /= 2;
  std::vector<Slab> slabs;
  for (const double nm : grid.nm())
    slabs.push_back(
        slab_of(model, grammage / 1000 * k * std::exp(-(nm - 450) / 90), grammage / 1000 * s));
  return slabs;
}

std::vector<double> read_over(const std::vector<Slab>& slabs, const std::string& backing) {
  std::vector<double> R;
  for (const Slab& slab : slabs) R.push_back(over(slab, backing_of(backing)));
  return R;
}

struct Spread {
  double by = 0;
  int repeats = 1;
};

void put(std::vector<Reading>& rows, const std::string& name, Role role,
         const std::vector<Slab>& slabs, const std::vector<std::string>& backings,
         Spread spread = {}) {
  for (const std::string& backing : backings)
    for (int n = 0; n < spread.repeats; ++n) {
      std::vector<double> R = read_over(slabs, backing);
      for (double& value : R) value += spread.by * (n - (spread.repeats - 1) / 2.0);
      rows.push_back(reading(name, role, backing, R));
      rows.back().repeat = std::to_string(n + 1);
    }
}

const std::vector<std::string> black_and_white{"black", "white"};

TissueMaterial material(LayerModel model = LayerModel::many_fluxes_45_0) {
  TissueMaterial made;
  made.over = "board";
  for (const char* name : {"black", "white", "board"})
    made.tissues.push_back(
        reading(name, Role::backing, "", std::vector<double>(36, backing_of(name))));
  put(made.target, "chart", Role::target, body(78, 45, 4, model), black_and_white, {0.001, 3});
  for (Reading& row : made.target) row.grammage_g_m2 = 78;
  put(made.tissues, "kozo plain", Role::tissue, body(12, 35, 0.3, model), black_and_white,
      {0.001, 3});
  put(made.tissues, "kozo toned", Role::tissue, body(26, 45, 4, model), black_and_white,
      {0.001, 3});
  for (Reading& row : made.tissues)
    if (row.role == Role::tissue) {
      row.grammage_g_m2 = row.name == "kozo plain" ? 12 : 26;
      row.lot = row.name;
    }
  return made;
}

TissueQuestion question() {
  TissueQuestion asked;
  asked.trials = 0;
  asked.aim_dL = 0;  // the sheet itself
  return asked;
}

Result<TissueAnswer> answer_to(TissueMaterial made, const TissueQuestion& asked = question()) {
  auto bench = TissueBench::prepare(std::move(made));
  if (!bench) return bench.error();
  return bench->rank(asked);
}

bool says(const std::vector<std::string>& words, const std::string& part) {
  return std::any_of(words.begin(), words.end(),
                     [&](const std::string& one) { return one.find(part) != one.npos; });
}

const TissueCandidate& find(const TissueAnswer& answer, const std::string& tissue, int plies) {
  for (const TissueCandidate& one : answer.candidates)
    if (one.tissue == tissue && one.plies == plies) return one;
  throw std::runtime_error("no candidate " + tissue);
}

// The chart is three plies of 'kozo toned' in body and colour.
TEST(Tissue, ThePliesThatMakeTheSheetStandFirst) {
  const auto answer = answer_to(material());
  ASSERT_TRUE(answer) << answer.error().text();
  ASSERT_EQ(answer->candidates.size(), 8u);
  const TissueCandidate& best = answer->candidates.front();
  EXPECT_EQ(best.tissue, "kozo toned");
  EXPECT_EQ(best.plies, 3);
  EXPECT_LT(best.worst_de00, 1e-6);
  EXPECT_TRUE(best.transmitted.known);
  EXPECT_LT(*best.transmitted.de00, 1e-6);
  EXPECT_EQ(best.weight_g_m2, 78);
  EXPECT_EQ(best.by_light.size(), 5u);
  EXPECT_TRUE(has_answer(*answer));
  EXPECT_TRUE(says(best.cautions, "pasted"));
  EXPECT_TRUE(says(answer->cautions, "least visible spot"));
}

TEST(Tissue, ReasonsInWords) {
  const auto answer = answer_to(material());
  ASSERT_TRUE(answer);
  const TissueCandidate& plain = find(*answer, "kozo plain", 1);
  EXPECT_TRUE(says(plain.reasons, "lighter by"));
  EXPECT_TRUE(says(plain.reasons, "less yellow by"));
  EXPECT_TRUE(says(plain.reasons, "L* too bright on the light sheet: try 4 plies"));
  const TissueCandidate& thick = find(*answer, "kozo toned", 4);
  EXPECT_TRUE(says(thick.reasons, "heavier than the sheet"));
  EXPECT_TRUE(says(thick.reasons, "too dark on the light sheet: try 3 plies"));
}

TEST(Tissue, FiltersTakeAwayAndCount) {
  TissueMaterial made = material();
  for (Reading& row : made.tissues)
    if (row.name == "kozo plain") row.bleeds = true;
  TissueQuestion asked = question();
  asked.leave_out = {LeaveOut::heavier, LeaveOut::bleeding};
  const auto answer = answer_to(made, asked);
  ASSERT_TRUE(answer);
  EXPECT_EQ(answer->candidates.size(), 3u);
  EXPECT_EQ(answer->filtered.at("heavier"), 1u);
  EXPECT_EQ(answer->filtered.at("bleeding"), 4u);
  EXPECT_TRUE(says(answer->warnings, "whether it bleeds is not stated for 1 tissue"));
  EXPECT_TRUE(says(find(*answer_to(made), "kozo plain", 2).reasons, "bleeds when pasted"));
}

TEST(Tissue, AnAimMovesTheMatchAndStaysShown) {
  TissueQuestion asked = question();
  asked.aim_dL = 3;
  asked.aim_dC = -1;
  const auto answer = answer_to(material(), asked);
  ASSERT_TRUE(answer);
  const TissueCandidate& made = find(*answer, "kozo toned", 3);
  EXPECT_LT(made.de00, 1e-6);
  EXPECT_NEAR(made.aim_de00, de00(answer->aim, made.lab), 1e-9);
  EXPECT_NEAR(answer->aim.L, answer->sheet.front().lab.L + 3, 1e-12);
  EXPECT_NE(to_text(*answer).find("The aim: +3.0 L*, -1.0 C*"), std::string::npos);
}

TEST(Tissue, ADryAndPastedPairOfOneLotGivesTheShift) {
  TissueMaterial made = material();
  const std::size_t before = made.tissues.size();
  put(made.tissues, "kozo plain", Role::tissue, body(12, 15, 4), black_and_white);
  for (std::size_t i = before; i < made.tissues.size(); ++i) {
    made.tissues[i].lot = "kozo plain";
    made.tissues[i].state = State::pasted;
  }
  const auto answer = answer_to(made);
  ASSERT_TRUE(answer);
  for (const TissueCandidate& one : answer->candidates) {
    if (one.tissue != "kozo plain" || one.state != State::dry) continue;
    ASSERT_TRUE(one.pasted);
    EXPECT_LT(one.pasted->dL, 0);
    EXPECT_TRUE(says(one.reasons, "pasted, darker by"));
    EXPECT_FALSE(says(one.cautions, "expect it darker"));
  }
}

TEST(Tissue, ReadOnceOverTheBackingOfUseStandsForThatAlone) {
  TissueMaterial made = material();
  put(made.tissues, "offcut", Role::tissue, body(26, 45, 3.7), {"board"});
  put(made.tissues, "white only", Role::tissue, body(26, 45, 3.7), {"white"});
  const auto answer = answer_to(made);
  ASSERT_TRUE(answer);
  const TissueCandidate& offcut = find(*answer, "offcut", 1);
  EXPECT_TRUE(offcut.as_read);
  EXPECT_FALSE(offcut.overlap_de00);
  EXPECT_FALSE(offcut.transmitted.known);
  EXPECT_FALSE(offcut.transmitted.why.empty());
  ASSERT_EQ(answer->left_out.size(), 1u);
  EXPECT_EQ(answer->left_out[0].tissue, "white only");
  EXPECT_NE(answer->left_out[0].reason.find("'white' only"), std::string::npos);
}

TEST(Tissue, ASheetReadOnceElsewhereIsTakenAsReadWithTheShiftItMayHide) {
  TissueMaterial made = material();
  made.target.clear();
  // How much a sheet of that weight hides is told by a Kubelka S of 45 m2/kg.
  const std::vector<Slab> sheet = body(35, 45, 4, LayerModel::two_fluxes);
  put(made.target, "chart", Role::target, sheet, {"white"});
  made.over = "black";
  const auto answer = answer_to(made);
  ASSERT_TRUE(answer) << answer.error().text();
  ASSERT_TRUE(says(answer->warnings, "read over 'white', shown over 'black': taken as read"));
  // The computed shift for 35 g/m2 is the true one, as the invented sheet has s = 45 m2/kg.
  const auto weights = *tristimulus_weights(grid, *standard_light("D65"), Observer::deg10);
  const double dL =
      weights.lab(read_over(sheet, "black"))->L - weights.lab(read_over(sheet, "white"))->L;
  char expected[16];
  std::snprintf(expected, sizeof expected, "%+.1f L*", dL);
  EXPECT_TRUE(says(answer->warnings, expected)) << expected;
  EXPECT_FALSE(answer->sheet_transmitted.known);
  EXPECT_FALSE(answer->candidates.front().overlap_de00);

  TissueQuestion behind = question();
  behind.uses = {Use::tear};
  const auto refused = answer_to(made, behind);
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().code, ErrorCode::bad_input);
  behind.side = Side::front;
  EXPECT_TRUE(answer_to(made, behind));
}

TEST(Tissue, ALabOnlyTargetIsRankedUnderItsOwnLight) {
  TissueMaterial made = material();
  const auto weights = *tristimulus_weights(grid, *standard_light("D50"), Observer::deg2);
  const Lab lab = *weights.lab(read_over(body(78, 45, 4), "board"));
  made.target.resize(1);
  made.target[0].spectrum.reset();
  made.target[0].backing = "board";
  made.target[0].lab = BoundLab{lab.L, lab.a, lab.b, "D50", 2};
  TissueQuestion asked = question();
  asked.viewing.lights = {"D50", "A"};
  const auto answer = answer_to(made, asked);
  ASSERT_TRUE(answer) << answer.error().text();
  EXPECT_EQ(answer->candidates.front().tissue, "kozo toned");
  EXPECT_EQ(answer->candidates.front().plies, 3);
  EXPECT_LT(answer->candidates.front().de00, 1e-6);
  ASSERT_EQ(answer->candidates.front().by_light.size(), 1u);
  EXPECT_EQ(answer->candidates.front().by_light[0].light, "D50");
  EXPECT_EQ(answer->observer_deg, 2);
  EXPECT_TRUE(says(answer->warnings, "nothing can be said under A"));
  EXPECT_FALSE(answer->sheet_transmitted.known);
  asked.uses = {Use::tear};
  EXPECT_FALSE(answer_to(made, asked));
}

TEST(Tissue, ALabOnlyTissueIsRankedAsRead) {
  TissueMaterial made = material();
  const auto weights = *tristimulus_weights(grid, *standard_light("D50"), Observer::deg2);
  const Lab lab = *weights.lab(read_over(body(78, 45, 4), "board"));
  Reading offcut = reading("offcut", Role::tissue, "board", {});
  offcut.spectrum.reset();
  offcut.lab = BoundLab{lab.L, lab.a, lab.b, "D50", 2};
  made.tissues.push_back(offcut);
  const auto answer = answer_to(made);
  ASSERT_TRUE(answer) << answer.error().text();
  const TissueCandidate& found = find(*answer, "offcut", 1);
  EXPECT_LT(found.de00, 1e-6);
  EXPECT_EQ(found.by_light.size(), 1u);
  EXPECT_TRUE(says(found.cautions, "L*a*b* only, under D50, 2 degrees"));
  EXPECT_FALSE(found.transmitted.known);
}

TEST(Tissue, WhatCannotBeComparedIsLeftOutWithTheReason) {
  TissueMaterial made = material();
  for (Reading& row : made.tissues)
    if (row.name == "kozo plain") row.condition = Condition::m1;
  const auto answer = answer_to(made);
  ASSERT_TRUE(answer);
  ASSERT_EQ(answer->left_out.size(), 1u);
  EXPECT_NE(answer->left_out[0].reason.find("brightener"), std::string::npos);
  for (Reading& row : made.tissues)
    if (row.role == Role::tissue) row.state = State::wet;
  const auto refused = answer_to(made);
  ASSERT_FALSE(refused);
  EXPECT_NE(refused.error().text().find("read wet"), std::string::npos);
}

TEST(Tissue, ABrightenerMarksWhatCannotBePredicted) {
  TissueMaterial made = material();
  const std::size_t n = made.target.size();
  for (std::size_t i = 0; i < n; ++i) {
    Reading with = made.target[i];
    with.condition = Condition::m1;
    for (std::size_t b = 0; b < 10; ++b) with.spectrum->value[b] += 0.08;
    made.target.push_back(with);
  }
  TissueQuestion asked = question();
  asked.viewing.lights = {"D50", "A"};
  const auto answer = answer_to(made, asked);
  ASSERT_TRUE(answer) << answer.error().text();
  const TissueCandidate& best = answer->candidates.front();
  EXPECT_TRUE(best.by_light[0].not_predictable.empty());
  EXPECT_FALSE(best.by_light[1].not_predictable.empty());
  for (const TissueCandidate& c : answer->candidates) EXPECT_EQ(c.worst_light, "D50");
  EXPECT_TRUE(says(best.cautions, "not predictable"));
  EXPECT_NE(results::to_json(*answer).find("not_predictable"), std::string::npos);
}

TEST(Tissue, SeveralSheetsAreNotGuessedAmong) {
  TissueMaterial made = material();
  put(made.target, "margin", Role::target, body(78, 45, 20), black_and_white);
  const auto asked = answer_to(made);
  ASSERT_FALSE(asked);
  EXPECT_EQ(asked.error().code, ErrorCode::bad_request);
  EXPECT_NE(asked.error().message.find("chart and margin"), std::string::npos);
  made.target_name = "margin";
  EXPECT_TRUE(answer_to(made));
  made.over = "blotter";
  const auto unknown = answer_to(made);
  ASSERT_FALSE(unknown);
  EXPECT_NE(unknown.error().message.find("black, white and board"), std::string::npos);
}

TEST(Tissue, ThePreparedBenchAnswersAnotherQuestionAlike) {
  const auto bench = TissueBench::prepare(material());
  ASSERT_TRUE(bench);
  TissueQuestion asked = question();
  asked.fewest_plies = asked.most_plies = 3;
  asked.viewing.lights = {"A"};
  asked.top = 1;
  const auto answer = bench->rank(asked);
  ASSERT_TRUE(answer);
  ASSERT_EQ(answer->candidates.size(), 1u);
  EXPECT_EQ(answer->candidates[0].by_light[0].light, "A");
  const auto first = bench->rank(question()), again = bench->rank(question());
  EXPECT_EQ(results::to_json(*first), results::to_json(*again));
}

TEST(Tissue, ChancesAreGivenForTheBestAndSumToOne) {
  TissueQuestion asked = question();
  asked.trials = 50;
  const auto answer = answer_to(material(), asked);
  ASSERT_TRUE(answer);
  double sum = 0;
  for (const TissueCandidate& one : answer->candidates) sum += one.nearest_probability.value_or(0);
  EXPECT_NEAR(sum, 1, 1e-12);
  EXPECT_NE(answer->probability_note.find("50 draws"), std::string::npos);
}

TEST(Tissue, ToleranceAndItsOriginAreShown) {
  TissueQuestion asked = question();
  asked.tolerance_de00 = 0.001;
  asked.fewest_plies = asked.most_plies = 1;
  const auto answer = answer_to(material(), asked);
  ASSERT_TRUE(answer);
  EXPECT_FALSE(has_answer(*answer));
  EXPECT_EQ(answer->tolerance_origin, "as asked");
  EXPECT_NE(to_text(*answer).find("No tissue within the tolerance"), std::string::npos);
  EXPECT_NE(to_text(*answer_to(material())).find("1.8 (default"), std::string::npos);
}

TEST(Tissue, AnInterfaceIsUsedWhenAskedAndSaid) {
  // An interface is known to two fluxes only.
  TissueMaterial made = material(LayerModel::two_fluxes);
  made.surfaces = {{0.04, 0.04, 0.6}, Joint::air};
  const auto answer = answer_to(made);
  ASSERT_TRUE(answer) << answer.error().text();
  EXPECT_NE(answer->surfaces.find("k1 0.04"), std::string::npos);
  EXPECT_NE(answer->surfaces.find("air between"), std::string::npos);
  // With air between, plies are the same from outside, whatever stands inside them.
  EXPECT_EQ(answer->candidates.front().tissue, "kozo toned");
  EXPECT_EQ(answer->candidates.front().plies, 3);
  EXPECT_LT(answer->candidates.front().worst_de00, 1e-6);
}

}  // namespace
}  // namespace mendtone::app::tissue_test
