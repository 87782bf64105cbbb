#include "mendtone/app/wash.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>

#include "app/json.hpp"
#include "app/palette_json.hpp"
#include "mendtone/app/correct.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::app {
namespace {

namespace fs = std::filesystem;

const WavelengthGrid grid = WavelengthGrid::equal_steps(400, 10, 31);

/// Invented: a tissue, an aged sheet, three earths; nothing was measured.
Palette palette() {
  Palette p;
  p.grid = grid;
  p.load_unit = LoadUnit::g_m2;
  p.substrate = "long-fibre 20";
  p.lot = "A";
  p.state = State::dry;
  p.cross_validated_de00 = 0.3;
  p.ply.grid = grid;
  struct Earth {
    const char *name, *colour_index;
    double edge, depth, floor;
  };
  for (double nm : grid.nm()) {
    p.ply.K.push_back(0.004 + 0.01 * std::exp(-(nm - 400) / 60));
    p.ply.S.push_back(1.0);
    p.ply.opaque.push_back(false);
  }
  for (const Earth& e :
       {Earth{"ochre", "PY43", 540, 1.5, 0.05}, Earth{"red earth", "PR102", 590, 2, 0.1},
        Earth{"carbon", "PBk7", 300, 0, 4}}) {
    Colorant c;
    c.name = e.name;
    c.colour_index = e.colour_index;
    for (double nm : grid.nm()) {
      c.k.push_back(e.floor + e.depth / (1 + std::exp((nm - e.edge) / 18)));
      c.s.push_back(0.1);
    }
    c.k_se = c.s_se = std::vector<double>(grid.size(), 0.0);
    c.law = {LoadLaw::Kind::power, 0.9};
    c.load_range = {0, 0.8};
    p.colorants.push_back(c);
  }
  return p;
}

class WashFiles : public ::testing::Test {
 protected:
  void SetUp() override {
    folder_ = fs::temp_directory_path() /
              ("mendtone-wash-" +
               std::string(::testing::UnitTest::GetInstance()->current_test_info()->name()));
    fs::create_directories(folder_);
    Json json = document("colorant");
    put_palette(json, palette_);
    write("palette.json", written(json));
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
    return r;
  }
  CorrectAnswer corrected(const WashRequest& r, const std::vector<double>& on_sheet,
                          int after) const {
    write("wash.json", to_json(wash(r).value()));
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
  const WashRecipe& best = answer->recipes.front();
  EXPECT_LE(best.recipe.colour.by_light[0].de00, 0.02);
  for (std::size_t c = 0; c < 3; ++c) EXPECT_NEAR(best.recipe.loads[c], target_[c], 0.02);
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
  const auto json = nlohmann::json::parse(to_json(*answer));
  const auto& best = json["recipes"][0];
  for (const char* field : {"loads", "load_unit", "lab", "de00", "aim_de00", "by_light",
                            "worst_de00", "coats", "dispense", "one_drop_de00", "cautions"})
    EXPECT_TRUE(best.contains(field)) << field;
  EXPECT_EQ(best["load_unit"], "g_m2");
  EXPECT_EQ(best["dispense"].back()["stock"], "water");
  EXPECT_GT(best["one_drop_de00"].get<double>(), 0);
  for (const char* field : {"searched", "exact", "problem"}) EXPECT_TRUE(json.contains(field));
  EXPECT_FALSE(to_text(*answer).empty());
  EXPECT_FALSE(to_csv(*answer).empty());
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
  EXPECT_LE(answer->nearer.front().de00, 0.02);
  EXPECT_NE(to_text(*answer).find("ochre (used up)"), std::string::npos);
}

TEST_F(WashFiles, AimsLighterAndDullerWhenAsked) {
  WashRequest r = request();
  r.aim_dL = 2;
  r.aim_dC = -1;
  const auto answer = wash(r);
  const LightColour& view = answer->recipes.front().recipe.colour.by_light[0];
  EXPECT_LT(view.aim_de00, 0.3);
  EXPECT_GT(view.de00, 0.8);
  EXPECT_GT(view.lab.L, answer->state.problem.lights[0].sheet.L);
}

TEST_F(WashFiles, CorrectionNeedsNothingButTheAnswer) {
  const CorrectAnswer answer = corrected(request(), {0.8 * 0.35, 0.8 * 0.06, 0.8 * 0.02}, 4);
  ASSERT_EQ(answer.recipes.size(), 2u);
  EXPECT_EQ(answer.recipes.front().kind, "coat");
  EXPECT_LT(answer.recipes.front().recipe.colour.by_light[0].de00, 0.1);
  const auto json = nlohmann::json::parse(to_json(answer));
  EXPECT_TRUE(json["learned"].contains("offset_lab"));
  EXPECT_TRUE(json["learned"].contains("of_which_dosing"));
  EXPECT_TRUE(json["learned"]["ochre"].contains("strength"));
  EXPECT_FALSE(to_text(answer).empty());

  // Its own answer corrects further: the coat was laid down, and came out a little light.
  write("correct.json", to_json(answer));
  write("second.csv", heading() + backings() +
                          row("offcut", "trial", "white", toned({0.97 * 0.35, 0.058, 0.0195})));
  CorrectRequest again;
  again.recipe_file = path("correct.json");
  again.trials.files = {path("second.csv")};
  const auto next = correct(again);
  ASSERT_TRUE(next) << next.error().text();
  EXPECT_EQ(next->trials.size(), 2u);
  EXPECT_TRUE(next->trials.back().trial.same_sheet);
}

TEST_F(WashFiles, RefusesATrialReadWet) {
  write("wash.json", to_json(wash(request()).value()));
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

}  // namespace
}  // namespace mendtone::app
