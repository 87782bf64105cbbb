#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "adapters/record_samples.hpp"
#include "adapters/scratch.hpp"
#include "app/earths.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/app/record/keep.hpp"
#include "mendtone/app/record/recheck.hpp"
#include "mendtone/app/record/record.hpp"
#include "mendtone/app/tissue/tissue.hpp"
#include "mendtone/app/tone/tone.hpp"
#include "mendtone/app/wash/swatch.hpp"
#include "mendtone/app/wash/wash.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/results/walk.hpp"

// What the record holds besides readings decides what is said, planned and offered. Everything is
// invented; facts of the trade rest on what reference-data/cautions.csv names, line by line.
namespace mendtone::app::care_test {
namespace {

const WavelengthGrid grid = WavelengthGrid::equal_steps(400, 10, 31);

Palette palette() {
  return test::earths({{"ochre", "py 43", 540, 1.5, 0.05},
                       {"cadmium", "PY35:1", 530, 1.6, 0.04},
                       {"carbon", "PBk7", 300, 0, 4}});
}

class Care : public ::testing::Test {
 protected:
  void SetUp() override {
    record_ = scratch_.file("lab.record");
    ASSERT_TRUE(new_record(record_));
    write_contents(scratch_.file("palette.json"),
                   results::to_json(results::PaletteDocument{palette_}));
  }

  void keep(const std::string& kind, const Written& columns) {
    const auto kept = record_keep({record_, record::entry(), kind, columns, ""});
    ASSERT_TRUE(kept) << kept.error().text();
  }
  void sheet(Written more = {}) {
    more.emplace_back("name", "log");
    keep("sheet", more);
    keep("loss", {{"name", "gap"}, {"sheet", "log"}, {"nature", "loss"}, {"area_cm2", "7.5"}});
  }
  /// Readings of the gap: a sheet as a wash of `loads` makes it, `lighter` by a share.
  void read(const std::string& stage, double lighter = 0, const std::string& taken = "") {
    std::string text = heading();
    for (const auto& [backing, R] : {std::pair{"white", 0.85}, std::pair{"black", 0.04}}) {
      text += row(backing, "backing", "", std::vector<double>(grid.size(), R));
      std::vector<double> seen = reflectance(palette_, std::vector<double>{0.3, 0.0, 0.03}, 4,
                                             std::vector<double>(grid.size(), R));
      for (double& one : seen) one *= 1 + lighter;
      text += row("gap", "target", backing, seen);
    }
    import("gap-" + stage + ".csv", text, stage, taken, true);
  }
  void import(const std::string& name, const std::string& text, const std::string& stage,
              const std::string& taken, bool of_gap) {
    write_contents(scratch_.file(name), text);
    ImportRequest request;
    request.record = record_;
    request.entry = record::entry();
    request.files = {scratch_.file(name)};
    if (of_gap) {
      request.sheet = "log";
      request.loss = "gap";
    } else {
      request.new_tissues = true;
    }
    request.stage = stage;
    request.taken = taken;
    const auto done = record_import(request);
    ASSERT_TRUE(done) << done.error().text();
  }
  void drawer(const std::string& taken = "", double lighter = 0) {
    std::string text = heading();
    for (const auto& [name, g_m2] : {std::pair{"thin", 4.0}, std::pair{"thick", 20.0}})
      for (const auto& [backing, R] : {std::pair{"white", 0.85}, std::pair{"black", 0.04}}) {
        // The thin one has the very colour of the sheet in one ply: only its weight is wrong.
        const int plies = std::string(name) == "thin" ? 4 : 1;
        std::vector<double> seen = reflectance(palette_, std::vector<double>{0.3, 0.0, 0.03}, plies,
                                               std::vector<double>(grid.size(), R));
        for (double& one : seen) one *= 1 + lighter;
        text += row(name, "tissue", backing, seen, shortest(g_m2));
      }
    import("drawer-" + taken + ".csv", text, "", taken, false);
  }
  static std::string heading() {
    std::string line = "name,role,backing,state,grammage_g_m2,scale";
    for (double nm : grid.nm()) line += "," + shortest(nm);
    return line + "\n";
  }
  static std::string row(const std::string& name, const std::string& role,
                         const std::string& backing, const std::vector<double>& R,
                         const std::string& grammage = "") {
    std::string line = name + "," + role + "," + backing + ",dry," + grammage + ",fraction";
    for (double r : R) line += "," + shortest(r);
    return line + "\n";
  }
  Keeping as(const std::string& name) const { return {record_, record::entry(), name, "", ""}; }
  Result<WashAnswer> plan() {
    WashRequest request;
    request.target = "log/gap";
    request.on = "long-fibre 20";
    request.palette = scratch_.file("palette.json");
    request.over = "white";
    request.plies = 4;
    return kept(wash, request, as("wash"));
  }
  Result<TissueAnswer> rank() {
    TissueRequest request;
    request.target = "log/gap";
    request.tissues = {"drawer"};
    request.over = "white";
    request.question.trials = 0;
    return kept(tissue, request, as("fills"));
  }

  Scratch scratch_;
  std::string record_;
  Palette palette_ = palette();
};

bool says(const std::vector<std::string>& all, const std::string& words) {
  return std::any_of(all.begin(), all.end(),
                     [&](const std::string& one) { return one.find(words) != std::string::npos; });
}

bool holds(const results::WashRecipe& recipe, const std::string& colorant) {
  return std::any_of(recipe.loads.begin(), recipe.loads.end(), [&](const results::Load& load) {
    return load.colorant == colorant && load.load > 0;
  });
}

TEST_F(Care, WhatTheRecordExcludesIsNeverPlanned) {
  sheet();
  read("before");
  keep("colorant", {{"name", "Ochre"}, {"colour_index", "PY43"}, {"excluded", "too gritty"}});
  const auto answer = plan();
  ASSERT_TRUE(answer) << answer.error().text();
  for (const results::WashRecipe& one : answer->recipes) EXPECT_FALSE(holds(one, "ochre"));
  EXPECT_TRUE(says(answer->notes, "'ochre' is excluded in the record (too gritty)"));
  ASSERT_EQ(answer->problem.excluded.size(), 1u);
  EXPECT_EQ(answer->problem.excluded[0].reason, "too gritty");
}

TEST_F(Care, TheRecordedMediumDecidesWhatIsSaidOfWettingAgain) {
  sheet({{"media", "none"}});
  read("before");
  auto answer = plan();
  ASSERT_TRUE(answer) << answer.error().text();
  const auto with_ochre = [&] {
    return std::find_if(answer->recipes.begin(), answer->recipes.end(),
                        [](const auto& one) { return holds(one, "ochre"); });
  };
  ASSERT_NE(with_ochre(), answer->recipes.end());
  EXPECT_TRUE(says(with_ochre()->cautions, "what binds ochre"));
  for (const char* name : {"ochre", "carbon", "cadmium"})
    keep("colorant", {{"name", name}, {"medium", "acrylic dispersion"}});
  answer = plan();
  ASSERT_TRUE(answer) << answer.error().text();
  EXPECT_TRUE(says(with_ochre()->cautions, "acrylic: usually fast to water, not to solvents"));
  EXPECT_FALSE(says(with_ochre()->cautions, "raise no dust"));
  EXPECT_FALSE(says(with_ochre()->cautions, "watercolour"));
}

// PY35:1 is a form of PY35, and 'toxic' is not lost on the way.
TEST_F(Care, AFormOfAToxicPigmentIsToxic) {
  sheet();
  read("before");
  keep("colorant", {{"name", "ochre"}, {"excluded", "none left"}});
  const auto answer = plan();
  ASSERT_TRUE(answer) << answer.error().text();
  const auto found = std::find_if(answer->recipes.begin(), answer->recipes.end(),
                                  [](const auto& one) { return holds(one, "cadmium"); });
  ASSERT_NE(found, answer->recipes.end());
  EXPECT_TRUE(says(found->cautions, "cadmium (PY35:1): toxic"));
}

TEST_F(Care, MediaOfTheSheetBarAndAReasonLifts) {
  sheet({{"media", "iron-gall ink"}});
  read("before");
  drawer();
  auto ranked = rank();
  ASSERT_TRUE(ranked) << ranked.error().text();
  ASSERT_FALSE(ranked->cautions.empty());
  EXPECT_EQ(ranked->cautions.front().rfind("Barred: no ordinary wet paste beside iron-gall", 0),
            0u);
  const auto planned = plan();
  ASSERT_TRUE(planned) << planned.error().text();
  EXPECT_TRUE(says(planned->recipes.front().cautions, "Barred: no ordinary wet paste"));
  keep("step", {{"sheet", "log"},
                {"name", "wet paste beside iron-gall ink"},
                {"standing", "allowed"},
                {"reason", "the ink is far away"}});
  ranked = rank();
  ASSERT_TRUE(ranked) << ranked.error().text();
  EXPECT_FALSE(says(ranked->cautions, "Barred: "));
  EXPECT_TRUE(says(ranked->cautions, "allowed by you (the ink is far away)"));
}

TEST_F(Care, MediaThatNobodyStatedAreAskedFor) {
  sheet();
  read("before");
  drawer();
  const auto ranked = rank();
  ASSERT_TRUE(ranked) << ranked.error().text();
  EXPECT_TRUE(says(ranked->cautions, "sizing near it are not stated"));
}

TEST_F(Care, ATargetBelongsToItsLatestStageAndIsNoMeanOverStages) {
  sheet();
  read("before");
  read("bath 1", 0.03);
  ToneRequest request;
  request.sources.files = {"log/gap@bath 1"};
  request.viewing.lights = {"D65"};
  const auto after = tone(request, record_);
  ASSERT_TRUE(after) << after.error().text();
  request.sources.files = {"log/gap@before"};
  const auto before = tone(request, record_);
  request.sources.files = {"log/gap"};
  const auto plain = tone(request, record_);
  ASSERT_TRUE(before && plain);
  const auto L = [](const auto& answer) { return answer->tones.front().lab.L; };
  EXPECT_GT(L(after), L(before) + 0.5);
  EXPECT_EQ(L(plain), L(after));
  EXPECT_TRUE(says(plain->warnings, "the latest, 'bath 1', is taken"));
}

TEST_F(Care, WhatWasReadBeforeABathIsToBeReadAgain) {
  sheet();
  read("before");
  auto planned = plan();
  ASSERT_TRUE(planned) << planned.error().text();
  EXPECT_FALSE(says(planned->warnings, "washed since"));
  keep("bath", {{"sheet", "log"}, {"name", "bath 1"}, {"number", "1"}});
  planned = plan();
  ASSERT_TRUE(planned) << planned.error().text();
  EXPECT_TRUE(
      says(planned->warnings,
           "washed since it was read (bath 1): let it dry and condition, and read it again"));
  read("bath 1", 0.03);
  planned = plan();
  ASSERT_TRUE(planned) << planned.error().text();
  EXPECT_FALSE(says(planned->warnings, "washed since"));
}

TEST_F(Care, WeightIsAskedBeforeColour) {
  sheet({{"grammage_g_m2", "78"}});
  read("before");
  drawer();
  const auto ranked = rank();
  ASSERT_TRUE(ranked) << ranked.error().text();
  EXPECT_EQ(ranked->sheet_weight_g_m2, 78);
  // 4 g/m2 in any number of plies is too light, though one ply has the sheet's own colour.
  bool apart = false;
  for (const TissueCandidate& one : ranked->candidates) {
    EXPECT_NE(one.fit, "not known");
    if (one.fit == "does not fit") apart = true;
    if (one.fit == "fits") EXPECT_FALSE(apart) << one.tissue << " stands behind what cannot do it";
    if (one.tissue == "thin") {
      EXPECT_EQ(one.fit, "does not fit");
      EXPECT_NE(one.unfit_because.find("too light"), std::string::npos);
    }
  }
  EXPECT_EQ(ranked->candidates.front().tissue, "thick");
  const auto thin = std::find_if(ranked->candidates.begin(), ranked->candidates.end(),
                                 [](const auto& c) { return c.tissue == "thin" && c.plies == 1; });
  ASSERT_NE(thin, ranked->candidates.end());
  EXPECT_LT(thin->de00, 0.01);
}

TEST_F(Care, AFillIsAimedLighterUnlessSaidOtherwise) {
  sheet();
  read("before");
  drawer();
  const auto planned = plan();
  ASSERT_TRUE(planned) << planned.error().text();
  EXPECT_EQ(planned->problem.aim_dL, 0.5);
  EXPECT_NEAR(planned->aim.L, planned->sheet.L + 0.5, 1e-12);
  ASSERT_TRUE(planned->recipes.front().darker_chance);
  EXPECT_GT(*planned->recipes.front().darker_chance, 0);
  EXPECT_LT(*planned->recipes.front().darker_chance, 0.5);
  EXPECT_NE(to_text(*planned).find("chance of coming out darker"), std::string::npos);
  const auto ranked = rank();
  ASSERT_TRUE(ranked) << ranked.error().text();
  EXPECT_EQ(ranked->aim_dL, 0.5);
}

// A round loss of 7.5 cm2 at 50 cm spans 3.5 degrees (computed by hand: 2 atan(1.545 / 50)).
TEST_F(Care, TheViewingDistanceSuggestsTheObserverAndLightSheetWeighsOnlyWhereItIsSeen) {
  sheet({{"viewing_distance_cm", "50"}, {"seen_against_light", "no"}});
  read("before");
  drawer();
  const auto ranked = rank();
  ASSERT_TRUE(ranked) << ranked.error().text();
  EXPECT_EQ(ranked->observer_deg, 2);
  EXPECT_TRUE(says(ranked->notes, "spans 3.5 degrees: the 2 degree observer"));
  EXPECT_TRUE(says(ranked->notes, "never seen against light"));
  EXPECT_NE(ranked->score_formula.find(" 0 x DeltaE00 on the light sheet"), std::string::npos)
      << ranked->score_formula;
}

TEST_F(Care, ATonedTissueReadLongAgoIsNotOfferedBeforeItIsReadAgain) {
  sheet({{"grammage_g_m2", "21"}});
  read("before");
  drawer("2023-01-10");
  keep("tissue", {{"name", "long-fibre 20"}});
  auto ranked = rank();
  ASSERT_TRUE(ranked) << ranked.error().text();
  EXPECT_TRUE(ranked->candidates.front().to_be_read_again.empty());
  KeepRequest toned{
      record_, record::entry("it is toned"), "tissue", {{"toned_from", "long-fibre 20"}}, "thick"};
  ASSERT_TRUE(record_keep(toned));
  ranked = rank();
  ASSERT_TRUE(ranked) << ranked.error().text();
  const auto thick = std::find_if(ranked->candidates.begin(), ranked->candidates.end(),
                                  [](const auto& one) { return one.tissue == "thick"; });
  ASSERT_NE(thick, ranked->candidates.end());
  EXPECT_NE(thick->to_be_read_again.find("3.2 years ago (2023-01-10)"), std::string::npos)
      << thick->to_be_read_again;
}

// 1 % more light of every band at L* near 80 is about 0.3 L*: a drift of some tenths (CIELAB: the
// cube root of 1.01 lifts L* + 16 by 0.33 %).
TEST_F(Care, ATissueReadYearsApartSaysItsDriftAndOnlyTheLastCounts) {
  sheet();
  read("before");
  drawer("2023-01-10");
  drawer("2026-03-01", 0.01);
  const auto ranked = rank();
  ASSERT_TRUE(ranked) << ranked.error().text();
  EXPECT_TRUE(says(ranked->warnings,
                   "'thick' was read on 2023-01-10 and on 2026-03-01: the latest is taken. It "
                   "drifted by 0."));
}

TEST_F(Care, SolventsAndAirbrushesGetTheirCautionsWhereTheyAreEntered) {
  sheet();
  const auto tested = record_keep(
      {record_,
       record::entry(),
       "spot_test",
       {{"sheet", "log"}, {"tested", "stamp"}, {"liquid", "ethanol"}, {"outcome", "unchanged"}},
       ""});
  ASSERT_TRUE(tested) << tested.error().text();
  EXPECT_TRUE(says(tested->cautions, "extraction, no flame"));
  const auto noted = record_keep({record_,
                                  record::entry(),
                                  "note",
                                  {{"text", "toned with the airbrush"}, {"sheet", "log"}},
                                  ""});
  ASSERT_TRUE(noted) << noted.error().text();
  EXPECT_TRUE(says(noted->cautions, "aerosol"));
  const auto plain = record_keep(
      {record_, record::entry(), "note", {{"text", "toned by brush"}, {"sheet", "log"}}, ""});
  ASSERT_TRUE(plain);
  EXPECT_TRUE(plain->cautions.empty());
}

TEST_F(Care, WhatIsOwedBeforeTheNextWetStepStandsWithTheSheet) {
  sheet({{"media", "iron-gall ink"}});
  read("before");
  keep("bath", {{"sheet", "log"}, {"name", "bath 1"}, {"number", "1"}});
  const auto shown = record_show({record_, "log"});
  ASSERT_TRUE(shown) << shown.error().text();
  const std::string text = to_text(*shown);
  EXPECT_NE(text.find("Before the next wet step"), std::string::npos);
  EXPECT_NE(text.find("Barred: wet paste beside iron-gall ink"), std::string::npos) << text;
  EXPECT_NE(text.find("Owed: reading after bath 1 (gap)"), std::string::npos) << text;
  EXPECT_NE(to_json(*shown).find("\"before_the_next_wet_step\""), std::string::npos);
}

TEST_F(Care, TheRecordedBlueWoolClassSaysWhatChangesFirst) {
  sheet();
  read("before");
  auto planned = plan();
  ASSERT_TRUE(planned) << planned.error().text();
  EXPECT_FALSE(says(planned->notes, "changes first"));
  keep("colorant",
       {{"name", "ochre"}, {"blue_wool", "8"}, {"light_fastness", "ASTM D4303 class I"}});
  keep("colorant", {{"name", "cadmium"}, {"blue_wool", "4"}});
  planned = plan();
  ASSERT_TRUE(planned) << planned.error().text();
  EXPECT_TRUE(says(planned->notes, "(blue wool "));
  EXPECT_TRUE(says(planned->notes, "Michalski"));
  EXPECT_TRUE(says(planned->notes, "ochre: light-fastness as entered: ASTM D4303 class I"));
}

// What was said with a result is said again when it is computed again from what was kept.
TEST_F(Care, AResultComputedAgainSeesWhatTheRecordHeldThen) {
  sheet({{"media", "iron-gall ink"}, {"grammage_g_m2", "78"}});
  read("before");
  drawer();
  ASSERT_TRUE(plan());
  ASSERT_TRUE(rank());
  ASSERT_TRUE(record_keep({record_, record::entry("a slip"), "sheet", {{"media", "none"}}, "log"}));
  const auto checked = recheck({record_, {}});
  ASSERT_TRUE(checked) << checked.error().text();
  EXPECT_TRUE(has_answer(*checked)) << to_text(*checked);
}

}  // namespace
}  // namespace mendtone::app::care_test
