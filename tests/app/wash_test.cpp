#include "mendtone/app/wash/wash.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>

#include "app/earths.hpp"
#include "mendtone/app/wash/correct.hpp"
#include "mendtone/app/wash/swatch.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/results/walk.hpp"

namespace mendtone::app::wash_test {
namespace {

namespace fs = std::filesystem;

const WavelengthGrid grid = WavelengthGrid::equal_steps(400, 10, 31);

Palette palette() {
  Palette p = test::earths({{"ochre", "PY43", 540, 1.5, 0.05},
                            {"red earth", "PR102", 590, 2, 0.1},
                            {"carbon", "PBk7", 300, 0, 4}});
  p.lot = "A";
  return p;
}

class WashFiles : public ::testing::Test {
 protected:
  void SetUp() override {
    folder_ = fs::temp_directory_path() /
              ("mendtone-wash-" +
               std::string(::testing::UnitTest::GetInstance()->current_test_info()->name()));
    fs::create_directories(folder_);
    write("palette.json", results::to_json(results::PaletteDocument{palette_}));
    write("tissue.csv", heading() + backings() +
                            row("long-fibre 20", "tissue", "white", bare(0.85)) +
                            row("long-fibre 20", "tissue", "black", bare(0.04)));
    target_ = {0.35, 0.06, 0.02};
    write("sheet.csv", heading() + backings() + row("margin", "target", "white", toned(target_)));
    write("stocks.csv",
          "stock,colorant,g_per_ml,drops,drops_g,density_g_ml\n"
          "ochre bottle,ochre,0.05,20,1.1,1.1\nred bottle,red earth,0.05,20,1.0,1.0\n"
          "black bottle,carbon,0.01,20,1.0,1.0\n");
  }
  void TearDown() override { fs::remove_all(folder_); }

  std::string path(const std::string& name) const { return (folder_ / name).string(); }
  void write(const std::string& name, const std::string& text) const {
    std::ofstream(folder_ / name, std::ios::binary) << text;
  }
  static std::string heading() {
    std::string line = "name,role,backing,state,lot,scale";
    for (double nm : grid.nm()) line += "," + shortest(nm);
    return line + "\n";
  }
  static std::string row(const std::string& name, const std::string& role,
                         const std::string& backing, const std::vector<double>& R) {
    std::string line = name + "," + role + "," + backing + ",dry,,fraction";
    for (double r : R) line += "," + shortest(r);
    return line + "\n";
  }
  static std::string backings() {
    return row("white", "backing", "", std::vector<double>(grid.size(), 0.85)) +
           row("black", "backing", "", std::vector<double>(grid.size(), 0.04));
  }
  std::vector<double> bare(double backing) const {
    return reflectance(palette_, std::vector<double>(3, 0.0), 1,
                       std::vector<double>(grid.size(), backing));
  }
  std::vector<double> toned(const std::vector<double>& loads) const {
    return reflectance(palette_, loads, 1, std::vector<double>(grid.size(), 0.85));
  }
  WashRequest request() const {
    WashRequest r;
    r.target = path("sheet.csv");
    r.on = path("tissue.csv");
    r.palette = path("palette.json");
    r.over = "white";
    r.aim_dL = 0;  // the sheet itself, which these loads made
    return r;
  }
  CorrectAnswer corrected(const WashRequest& r, const std::vector<double>& on_sheet,
                          int after) const {
    write("wash.json", results::to_json(wash(r).value()));
    write("trial.csv", heading() + backings() + row("offcut", "trial", "white", toned(on_sheet)));
    CorrectRequest c;
    c.recipe_file = path("wash.json");
    c.after_coat = after;
    c.trials.files = {path("trial.csv")};
    return correct(c).value();
  }

  Palette palette_ = palette();
  std::vector<double> target_;
  fs::path folder_;
};

TEST_F(WashFiles, PlansTheLoadsThatMadeTheSheet) {
  const auto answer = wash(request());
  ASSERT_TRUE(answer) << answer.error().text();
  const results::WashRecipe& best = answer->recipes.front();
  EXPECT_LE(best.de00, 0.02);
  const std::vector<double> loads = loads_in(palette_, best.loads);
  for (std::size_t c = 0; c < 3; ++c) EXPECT_NEAR(loads[c], target_[c], 0.02);
  EXPECT_TRUE(answer->exact);
  EXPECT_EQ(answer->searched, 8u);
  EXPECT_TRUE(has_answer(*answer));
  EXPECT_FALSE(best.cautions.empty());
}

TEST_F(WashFiles, AnswersWithTheFieldsThatOthersScriptAgainst) {
  WashRequest r = request();
  r.stocks = path("stocks.csv");
  r.pick_up_ml_m2 = 180;
  r.volume_ml = 150;
  r.area_m2 = 0.06;
  const auto answer = wash(r);
  ASSERT_TRUE(answer) << answer.error().text();
  const auto json = nlohmann::json::parse(results::to_json(*answer));
  const auto& best = json["recipes"][0];
  for (const char* field : {"loads", "load_unit", "lab", "de00", "aim_de00", "by_light",
                            "worst_de00", "coats", "dispense", "one_drop_de00", "cautions"})
    EXPECT_TRUE(best.contains(field)) << field;
  EXPECT_EQ(best["load_unit"], "g_m2");
  EXPECT_EQ(best["dispense"].back()["stock"], "water");
  EXPECT_GT(best["one_drop_de00"].get<double>(), 0);
  for (const char* field : {"searched", "exact", "problem"}) EXPECT_TRUE(json.contains(field));
  // Text and CSV tell the same recipes: a row a colorant, and its name where a person reads it.
  const std::string text = to_text(*answer), csv = results::to_csv(*answer);
  std::ptrdiff_t rows = 1;
  for (const results::WashRecipe& made : answer->recipes)
    rows += static_cast<std::ptrdiff_t>(made.loads.size());
  EXPECT_EQ(std::count(csv.begin(), csv.end(), '\n'), rows);
  for (const auto& [colorant, load] : best["loads"].items()) {
    if (load.get<double>() == 0) continue;
    EXPECT_NE(csv.find("," + colorant + "," + shortest(load.get<double>()) + ",g_m2,"),
              std::string::npos)
        << csv;
    EXPECT_NE(text.find(colorant), std::string::npos) << text;
  }
}

TEST_F(WashFiles, RefusesOriginalPaper) {
  WashRequest r = request();
  r.on = r.target;
  const auto answer = wash(r);
  ASSERT_FALSE(answer);
  EXPECT_EQ(answer.error().code, ErrorCode::bad_request);
  EXPECT_NE(answer.error().message.find("original paper"), std::string::npos);
}

TEST_F(WashFiles, SaysWhatWouldBringAnUnreachableSheetNearer) {
  WashRequest r = request();
  r.exclude = {{"ochre", "used up"}};
  const auto answer = wash(r);
  ASSERT_TRUE(answer);
  ASSERT_FALSE(answer->nearer.empty());
  EXPECT_EQ(answer->nearer.front().what, "allowing 'ochre'");
  EXPECT_LE(answer->nearer.front().aim_de00, 0.02);
  EXPECT_NE(to_text(*answer).find("ochre (used up)"), std::string::npos);
}

TEST_F(WashFiles, AimsLighterAndDullerWhenAsked) {
  WashRequest r = request();
  r.aim_dL = 2;
  r.aim_dC = -1;
  const auto answer = wash(r);
  const results::WashRecipe& view = answer->recipes.front();
  EXPECT_LT(view.aim_de00, 0.3);
  EXPECT_GT(view.de00, 0.8);
  EXPECT_GT(view.lab.L, answer->sheet.L);
}

TEST_F(WashFiles, SaysThatABrushHasNoPickUp) {
  WashRequest r = request();
  r.method = Method::brush;
  r.pick_up_ml_m2 = 200;
  const auto answer = wash(r);
  ASSERT_TRUE(answer) << answer.error().text();
  EXPECT_TRUE(std::any_of(answer->warnings.begin(), answer->warnings.end(),
                          [](const std::string& w) { return w.rfind("--pick-up: ", 0) == 0; }));
}

TEST_F(WashFiles, CorrectionNeedsNothingButTheAnswer) {
  const CorrectAnswer answer = corrected(request(), {0.8 * 0.35, 0.8 * 0.06, 0.8 * 0.02}, 4);
  ASSERT_EQ(answer.recipes.size(), 2u);
  EXPECT_EQ(answer.recipes.front().kind, "coat");
  EXPECT_LT(answer.recipes.front().de00, 0.1);
  const auto json = nlohmann::json::parse(results::to_json(answer));
  EXPECT_TRUE(json["learned"].contains("offset_lab"));
  EXPECT_TRUE(json["learned"].contains("of_which_dosing"));
  EXPECT_TRUE(json["learned"]["ochre"].contains("strength"));
  EXPECT_FALSE(to_text(answer).empty());

  // Its own answer corrects further: the coat was laid down, and came out a little light.
  write("correct.json", results::to_json(answer));
  write("second.csv", heading() + backings() +
                          row("offcut", "trial", "white", toned({0.97 * 0.35, 0.058, 0.0195})));
  CorrectRequest again;
  again.recipe_file = path("correct.json");
  again.trials.files = {path("second.csv")};
  const auto next = correct(again);
  ASSERT_TRUE(next) << next.error().text();
  EXPECT_EQ(next->trials.size(), 2u);
  EXPECT_TRUE(next->trials.back().same_sheet);
}

TEST_F(WashFiles, RefusesATrialReadWet) {
  write("wash.json", results::to_json(wash(request()).value()));
  std::string wet = row("offcut", "trial", "white", toned(target_));
  wet.replace(wet.find(",dry,"), 5, ",wet,");
  write("trial.csv", heading() + backings() + wet);
  CorrectRequest c;
  c.recipe_file = path("wash.json");
  c.trials.files = {path("trial.csv")};
  const auto answer = correct(c);
  ASSERT_FALSE(answer);
  EXPECT_NE(answer.error().message.find("wet"), std::string::npos);
}

/// The same rows as read under one M condition.
std::string under(const std::string& condition, std::string rows) {
  for (const auto& [from, to] :
       {std::pair<std::string, std::string>{"state,lot", "state,condition"},
        {",dry,,", ",dry," + condition + ","}})
    for (std::size_t at = rows.find(from); at != std::string::npos;
         at = rows.find(from, at + to.size()))
      rows.replace(at, from.size(), to);
  return rows;
}

/// What a brightener adds under ultraviolet, in the blue.
std::vector<double> brightened(std::vector<double> R) {
  for (std::size_t i = 0; i < 6; ++i) R[i] += 0.08;
  return R;
}

void only_d50_decides(const WashAnswer& answer) {
  const auto& lights = answer.problem.lights;
  ASSERT_EQ(lights.size(), 6u);
  EXPECT_EQ(lights[0].light, "D50");
  for (std::size_t m = 0; m < lights.size(); ++m) EXPECT_EQ(lights[m].predictable, m == 0);
  for (const results::WashRecipe& made : answer.recipes) EXPECT_EQ(made.worst_light, "D50");
  EXPECT_FALSE(answer.problem.transmitted.known);
  const nlohmann::json best = nlohmann::json::parse(results::to_json(answer))["recipes"][0];
  EXPECT_EQ(best["worst_light"], "D50");
  for (const auto& [light, colour] : best["by_light"].items())
    EXPECT_EQ(colour.contains("not_predictable"), light != "D50") << light;
  const std::string text = to_text(answer);
  EXPECT_NE(text.find("not predictable (a brightener was found): D65, LED-B1"), std::string::npos)
      << text;
  EXPECT_NE(text.find("planned under D50, the only light"), std::string::npos) << text;
}

// DESIGN section 6; the search must not rest on what it cannot know: the loads are those that D50
// alone asks for.
TEST_F(WashFiles, ABrightenerInTheSheetLeavesOnlyD50ToDecide) {
  const std::vector<double> sheet = toned(target_);
  write("sheet.csv", under("M2", heading() + backings() + row("margin", "target", "white", sheet)) +
                         under("M1", row("margin", "target", "white", brightened(sheet))));
  const auto marked = wash(request());
  ASSERT_TRUE(marked) << marked.error().text();
  only_d50_decides(*marked);
  WashRequest alone = request();
  alone.viewing.lights = {"D50"};
  const auto under_d50 = wash(alone);
  ASSERT_TRUE(under_d50);
  for (std::size_t i = 0; i < under_d50->recipes.size(); ++i)
    EXPECT_EQ(loads_in(palette_, marked->recipes[i].loads),
              loads_in(palette_, under_d50->recipes[i].loads));
  // A correction goes on by the same light.
  const CorrectAnswer next = corrected(request(), {0.8 * 0.35, 0.8 * 0.06, 0.8 * 0.02}, 4);
  const nlohmann::json coat = nlohmann::json::parse(results::to_json(next))["recipes"][0];
  EXPECT_EQ(coat["worst_light"], "D50");
  EXPECT_TRUE(coat["by_light"]["D65"].contains("not_predictable"));
  EXPECT_FALSE(coat["by_light"]["D50"].contains("not_predictable"));
  EXPECT_NE(to_text(next).find("not predictable"), std::string::npos);
}

TEST_F(WashFiles, ABrightenerInTheTissueOrThePaletteCountsAsWell) {
  std::string csv = heading() + backings();
  std::string with;
  for (const auto& [name, R] : {std::pair{"white", 0.85}, {"black", 0.04}}) {
    csv += row("long-fibre 20", "tissue", name, bare(R));
    with += row("long-fibre 20", "tissue", name, brightened(bare(R)));
  }
  write("tissue.csv", under("M2", csv) + under("M1", with));
  const auto tissue = wash(request());
  ASSERT_TRUE(tissue) << tissue.error().text();
  only_d50_decides(*tissue);

  SetUp();
  palette_.brightener = true;
  write("palette.json", results::to_json(results::PaletteDocument{palette_}));
  const auto palette = wash(request());
  ASSERT_TRUE(palette) << palette.error().text();
  only_d50_decides(*palette);

  SwatchRequest s;
  s.palette = path("palette.json");
  s.loads = {{"ochre", 0.3}};
  s.on.files = {path("tissue.csv")};
  s.over = "white";
  const auto swatch_answer = swatch(s);
  ASSERT_TRUE(swatch_answer) << swatch_answer.error().text();
  const PredictedSwatch& made = swatch_answer->swatches.front();
  for (const SwatchColour& colour : made.by_light)
    EXPECT_EQ(colour.not_predictable.empty(), colour.light == "D50");
  EXPECT_EQ(made.by_light.front().light, "D50");
  EXPECT_FALSE(made.transmitted.known);
  const nlohmann::json seen =
      nlohmann::json::parse(results::to_json(*swatch_answer))["swatches"][0];
  EXPECT_TRUE(seen["by_light"]["A"].contains("not_predictable"));
  EXPECT_FALSE(seen["by_light"]["D50"].contains("not_predictable"));
  EXPECT_NE(to_text(*swatch_answer).find("not predictable"), std::string::npos);
}

TEST_F(WashFiles, WithoutABrightenerEveryLightCounts) {
  const auto answer = wash(request());
  ASSERT_TRUE(answer);
  for (const results::PlanLight& light : answer->problem.lights) EXPECT_TRUE(light.predictable);
  EXPECT_EQ(answer->problem.lights[0].light, "D65");
  EXPECT_EQ(results::to_json(*answer).find("not_predictable"), std::string::npos);
  EXPECT_EQ(to_text(*answer).find("not predictable"), std::string::npos);
}

// L*a*b* under D65 alone leaves nothing that could be predicted.
TEST_F(WashFiles, ABrightenerAndASheetByLabUnderAnotherLightAreRefused) {
  const std::string csv = heading() + backings() +
                          row("long-fibre 20", "tissue", "white", bare(0.85)) +
                          row("long-fibre 20", "tissue", "black", bare(0.04));
  write("tissue.csv", under("M2", csv) + under("M1", row("long-fibre 20", "tissue", "white",
                                                         brightened(bare(0.85)))));
  write("sheet.csv",
        "name,role,backing,state,condition,L*,a*,b*,light,observer\n"
        "margin,target,white,dry,M2,84,2,14,D65,10\n");
  const auto answer = wash(request());
  ASSERT_FALSE(answer);
  EXPECT_EQ(answer.error().code, ErrorCode::bad_input);
  EXPECT_NE(answer.error().message.find("read the sheet as a spectrum"), std::string::npos)
      << answer.error().text();
}

}  // namespace
}  // namespace mendtone::app::wash_test
