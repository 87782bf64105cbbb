// What an answer says is what the report, the record and the next step read from it.
#include <gtest/gtest.h>

#include <cstdlib>
#include <nlohmann/json.hpp>

#include "adapters/scratch.hpp"
#include "app/examples.hpp"
#include "mendtone/app/record/recheck.hpp"
#include "mendtone/app/report/report.hpp"
#include "mendtone/app/tissue/tissue.hpp"
#include "mendtone/app/tone/difference.hpp"
#include "mendtone/app/wash/colorant.hpp"
#include "mendtone/app/wash/correct.hpp"
#include "mendtone/app/wash/wash.hpp"
#include "mendtone/results/walk.hpp"

namespace mendtone::app::told_test {
namespace {

using test::example;

/// A retouching film for the invented chart, planned once: a wash like any other, and soon
/// computed.
struct Planned {
  Scratch scratch;
  std::string palette, wash_file, text;
  WashAnswer answer;

  Planned() {
    palette = scratch.file("palette.json");
    ColorantRequest colorants;
    colorants.sources.files = {example("film-ladders.csv")};
    colorants.application = Application::film;
    colorants.out = palette;
    EXPECT_TRUE(colorant(colorants));
    WashRequest request;
    request.target = example("chart.cgats");
    request.backings = {example("backings.csv")};
    request.on = example("fill.csv");
    request.palette = palette;
    request.application = Application::film;
    request.stocks = example("retouching-stocks.csv");
    request.area_m2 = 0.00075;
    request.volume_ml = 5;
    request.laid_ml = 0.3;
    request.top = 2;
    auto planned = wash(request);
    EXPECT_TRUE(planned) << planned.error().text();
    answer = *std::move(planned);
    text = results::to_json(answer);
    wash_file = scratch.file("wash.json");
    write_contents(wash_file, text);
  }
  /// The wash with one place of its text changed.
  std::string with(const std::string& from, const std::string& to) const {
    std::string changed = text;
    const std::size_t at = changed.find(from);
    EXPECT_NE(at, std::string::npos) << from;
    if (at != std::string::npos) changed.replace(at, from.size(), to);
    const std::string file = scratch.file("changed.json");
    write_contents(file, changed);
    return file;
  }
};

const Planned& planned() {
  static const Planned once;
  return once;
}

Result<report::ReportContent> reported(const std::string& file) {
  ReportRequest request;
  request.results = {file};
  return report_content(request);
}

TEST(Told, AReportsRecipeHasTissueBackingMethodVolumeAndArea) {
  const auto content = reported(planned().wash_file);
  ASSERT_TRUE(content) << content.error().text();
  ASSERT_FALSE(content->recipes.empty());
  const report::RecipeCard& card = content->recipes.front();
  EXPECT_EQ(card.tissue, planned().answer.problem.tissue);
  EXPECT_FALSE(card.tissue.empty());
  EXPECT_EQ(card.over, planned().answer.problem.over);
  EXPECT_EQ(card.application, "film");
  EXPECT_EQ(card.method, "brush");
  EXPECT_EQ(card.volume_ml, 5);
  ASSERT_TRUE(card.area_cm2);
  EXPECT_NEAR(*card.area_cm2, 7.5, 1e-12);
  ASSERT_TRUE(card.sheet);
  EXPECT_EQ(card.sheet->lab.L, planned().answer.sheet.L);
}

TEST(Told, AMalformedWashIsRefusedWithItsPlace) {
  for (const auto& [from, to, where] :
       {std::tuple{"\"use\": \"loss\"", "\"use\": \"lsos\"", "/problem/use"},
        std::tuple{"\"plies\": 1", "\"plies\": \"one\"", "/problem/plies"},
        std::tuple{"\"brightener\": []", "\"brightener\": [7]", "/problem/brightener/0"},
        std::tuple{"\"recipes\": [", "\"recipes\": 3, \"old\": [", "/recipes"}}) {
    const std::string file = planned().with(from, to);
    CorrectRequest request;
    request.recipe_file = file;
    request.trials.files = {example("fill.csv")};
    const auto corrected = correct(request);
    ASSERT_FALSE(corrected) << where;
    EXPECT_EQ(corrected.error().code, ErrorCode::bad_input);
    EXPECT_NE(corrected.error().where.find(where), std::string::npos) << corrected.error().text();
    const auto content = reported(file);
    ASSERT_FALSE(content) << where;
    EXPECT_EQ(content.error().code, ErrorCode::bad_input) << content.error().text();
  }
}

TEST(Told, AMalformedDifferenceDoesNotEndTheProgram) {
  DifferenceRequest request;
  request.before.files = {example("before.csv")};
  request.after.files = {example("after.csv")};
  const auto answer = difference(request);
  ASSERT_TRUE(answer) << answer.error().text();
  auto json = nlohmann::ordered_json::parse(results::to_json(*answer));
  json["pairs"][0]["interval95_de00"] = {"a", "b"};
  Scratch scratch;
  write_contents(scratch.file("difference.json"), json.dump());
  const auto content = reported(scratch.file("difference.json"));
  ASSERT_FALSE(content);
  EXPECT_EQ(content.error().code, ErrorCode::bad_input);
  EXPECT_NE(content.error().where.find("/pairs/0/interval95_de00/0"), std::string::npos)
      << content.error().text();
}

/// Several lamps hang in one hall, and their files are named so.
TEST(Told, ALampFileWithBracketsKeepsItsName) {
  Scratch scratch;
  std::string lamp = "nm,power\n";
  for (int nm = 380; nm <= 780; nm += 5) lamp += std::to_string(nm) + ",1\n";
  const std::string file = scratch.file("hall (north).csv");
  write_contents(file, lamp);
  TissueRequest request;
  request.target = "loss 1";
  request.tissues = {example("drawer.csv"), example("chart.cgats"), example("backings.csv")};
  request.over = "mount board";
  request.question.viewing.lights = {file};
  request.question.top = 1;
  request.question.trials = 0;
  const auto answer = tissue(request);
  ASSERT_TRUE(answer) << answer.error().text();
  ASSERT_EQ(answer->lights.size(), 1u);
  EXPECT_EQ(answer->lights[0].name, "hall (north)");
  EXPECT_NE(to_text(*answer).find("hall (north) (viewing)"), std::string::npos);
  write_contents(scratch.file("tissue.json"), results::to_json(*answer));
  const auto content = reported(scratch.file("tissue.json"));
  ASSERT_TRUE(content) << content.error().text();
  ASSERT_FALSE(content->fills.empty());
  EXPECT_EQ(content->fills.front().tone->light, "hall (north)");
  EXPECT_TRUE(content->fills.front().sheet) << "found under the very name";
}

/// A result without a name is asked for by its number, as it is shown.
TEST(Told, AResultIsFoundByItsNumber) {
  Scratch scratch;
  const std::string path = scratch.file("first.record");
  const std::string command = "gzip -dc '" + std::string(MENDTONE_SOURCE_DIR) +
                              "/tests/app/fixtures/made-by-0.1.0.record.gz' > '" + path + "'";
  ASSERT_EQ(std::system(command.c_str()), 0);
  const auto result = input_bytes("computation #9", InputPlace(path));
  ASSERT_TRUE(result) << result.error().text();
  EXPECT_NE(result->find("mendtone.wash"), std::string::npos);
  for (const char* none : {"computation #99", "computation #0", "computation #x", "computation #"})
    EXPECT_FALSE(input_bytes(none, InputPlace(path))) << none;
}

/// The record was made by version 0.1.0: `record` on Kestrel Bay with tone, difference, tissue,
/// colorant, swatch, wash and correct. What a later method gives differently is no disagreement.
TEST(Told, ARecordOfTheFirstVersionNeverDiffers) {
  Scratch scratch;
  const std::string path = scratch.file("first.record");
  const std::string command = "gzip -dc '" + std::string(MENDTONE_SOURCE_DIR) +
                              "/tests/app/fixtures/made-by-0.1.0.record.gz' > '" + path + "'";
  ASSERT_EQ(std::system(command.c_str()), 0);
  const auto checked = recheck({path});
  ASSERT_TRUE(checked) << checked.error().text();
  EXPECT_EQ(checked->results, 10u);
  EXPECT_GT(checked->figures, 5000u);
  EXPECT_TRUE(checked->agrees) << to_text(*checked);
  ReportRequest request;
  request.record = path;
  request.sheet = "chart";
  const auto content = report_content(request);
  EXPECT_TRUE(content) << content.error().text();
}

}  // namespace
}  // namespace mendtone::app::told_test
