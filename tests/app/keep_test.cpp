#include "mendtone/app/record/keep.hpp"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "adapters/record_samples.hpp"
#include "adapters/scratch.hpp"
#include "app/examples.hpp"
#include "app/image_scene.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/app/image/image_change.hpp"
#include "mendtone/app/image/image_tone.hpp"
#include "mendtone/app/record/recheck.hpp"
#include "mendtone/app/record/record.hpp"
#include "mendtone/app/report/report.hpp"
#include "mendtone/app/tissue/drawer.hpp"
#include "mendtone/app/wash/colorant.hpp"
#include "mendtone/app/wash/correct.hpp"
#include "mendtone/app/wash/swatch.hpp"
#include "mendtone/app/wash/wash.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::app::keep_test {
namespace {

using nlohmann::json;
using record::entry;
using test::example;

/// A record with the invented chart's readings, drawer, ladders and stocks.
class KeptWork : public test::ImageFolder {
 protected:
  void SetUp() override {
    ImageFolder::SetUp();
    path_ = file("lab.record");
    ASSERT_TRUE(new_record(path_));
    keep("sheet", {{"name", "chart"}});
    keep("loss", {{"name", "loss 1"}, {"sheet", "chart"}, {"nature", "loss"}});
    import({"backings.csv", "drawer.csv", "ladders.csv"}, "");
    import({"chart.cgats"}, "loss 1");
    keep("dropper", {{"name", "glass"}, {"drop_ml", "0.049"}, {"drops_weighed", "20"}});
    for (const auto& [name, load] : {std::pair{"ochre 1:20", "ochre=0.03"},
                                     {"red earth 1:20", "red earth=0.028"},
                                     {"raw umber 1:20", "raw umber=0.026"},
                                     {"bone black 1:50", "bone black=0.01"},
                                     {"chalk 1:10", "chalk=0.06"}})
      keep("stock", {{"name", name}, {"dry_g_ml", load}, {"dropper", "glass"}});
  }

  void keep(const std::string& kind, const Written& columns) {
    const auto kept = record_keep({path_, entry(), kind, columns, ""});
    ASSERT_TRUE(kept) << kept.error().text();
  }
  void import(const std::vector<std::string>& names, const std::string& loss) {
    ImportRequest request;
    request.record = path_;
    request.entry = entry();
    for (const std::string& name : names) request.files.push_back(example(name));
    request.loss = loss;
    if (!loss.empty()) request.sheet = "chart";
    const auto done = record_import(request);
    ASSERT_TRUE(done) << done.error().text();
  }
  Keeping as(const std::string& name) const { return {path_, entry(), name, "chart", ""}; }

  Result<ColorantAnswer> calibrate() {
    ColorantRequest request;
    request.sources.files = {"ladders.csv"};
    return kept(colorant, request, as("palette"));
  }
  Result<WashAnswer> plan() {
    WashRequest request;
    request.target = "chart/loss 1";
    request.on = "kozo 17 plain";
    request.palette = "palette";
    request.over = "mount board";
    request.stocks = "stocks";
    request.pick_up_ml_m2 = 95;
    request.volume_ml = 60;
    request.area_m2 = 0.04;
    request.top = 3;
    return kept(wash, request, as("wash"));
  }
  /// What the palette itself expects of the wash, as a file of one trial.
  /// `share`: how much darker than a sheet that came out as planned, 1: as planned.
  std::string trial(const WashAnswer& planned, double share = 0.99,
                    const std::string& backing = "mount board") {
    SwatchRequest request;
    request.palette = "palette";
    request.over = "mount board";
    const Palette& palette = planned.problem.palette.palette;
    for (const results::Load& load : planned.recipes.front().loads)
      request.loads[load.colorant] = load.load;
    const auto seen = kept(swatch, request, as("expected"));
    EXPECT_TRUE(seen) << seen.error().text();
    std::string heading = "name,role,backing,state,scale",
                row = "first,trial," + backing + ",dry,fraction";
    for (std::size_t i = 0; seen && i < palette.grid.nm().size(); ++i) {
      heading += "," + std::to_string(static_cast<int>(palette.grid.nm()[i]));
      row += "," + std::to_string(seen->swatches.front().reflectance[i] * share);
    }
    write("trial.csv", heading + "\n" + row + "\n");
    return file("trial.csv");
  }

  std::string path_;
};

/// Every verb from names of the record alone, and every figure again from what was kept.
TEST_F(KeptWork, WashesAreComputedAgainFromWhatTheRecordHolds) {
  const auto palette = calibrate();
  ASSERT_TRUE(palette) << palette.error().text();
  const auto planned = plan();
  ASSERT_TRUE(planned) << planned.error().text();
  ASSERT_FALSE(planned->recipes.front().dispense.empty()) << "the record's stocks were found";
  // What is printed of one dropper is one amount: its drop is 0.049 ml.
  const std::string card = to_text(*planned);
  for (const results::MeasuredOut& item : planned->recipes.front().dispense) {
    if (!item.drops) continue;
    const std::string line = std::to_string(*item.drops) + (*item.drops == 1 ? " drop" : " drops") +
                             ", " + fixed(*item.drops * 0.049, 2) + " ml";
    EXPECT_NE(card.find(line), std::string::npos) << line << "\n" << card;
  }
  CorrectRequest correction;
  correction.recipe_file = "wash";
  correction.trials.files = {trial(*planned)};
  const auto corrected = kept(correct, correction, as("after the trial"));
  ASSERT_TRUE(corrected) << corrected.error().text();

  const auto checked = recheck({path_});
  ASSERT_TRUE(checked) << checked.error().text();
  EXPECT_EQ(checked->results, 4u);
  EXPECT_GT(checked->figures, 1000u);
  EXPECT_TRUE(has_answer(*checked)) << to_text(*checked);
}

/// Near enough: stop; too near to the limit: read again; else go on, if anything comes nearer.
TEST_F(KeptWork, ACorrectionStopsWhenItShould) {
  ASSERT_TRUE(calibrate());
  const auto planned = plan();
  ASSERT_TRUE(planned) << planned.error().text();
  std::vector<Verdict> verdicts;
  for (const double share : {0.99, 0.97, 0.96, 0.95, 0.94, 0.93, 0.92, 0.91, 0.88}) {
    CorrectRequest correction;
    correction.recipe_file = "wash";
    correction.trials.files = {trial(*planned, share)};
    const auto answer = correct(correction, path_);
    ASSERT_TRUE(answer) << answer.error().text();
    ASSERT_TRUE(answer->trial.verdict && answer->trial.interval95);
    const auto [low, high] = *answer->trial.interval95;
    EXPECT_LE(low, answer->trial.aim_de00);
    EXPECT_GE(high, answer->trial.aim_de00);
    const char* begins = *answer->trial.verdict == Verdict::within      ? "Near enough: stop."
                         : *answer->trial.verdict == Verdict::undecided ? "It cannot be decided"
                                                                        : "Not near enough";
    EXPECT_EQ(answer->what_now.rfind(begins, 0), 0u) << answer->what_now;
    if (*answer->trial.verdict == Verdict::within) EXPECT_LE(high, 1.8);
    if (*answer->trial.verdict == Verdict::beyond) EXPECT_GE(low, 1.8);
    for (const results::WashRecipe& recipe : answer->recipes) {
      const double expected = recipe.whole_drops ? recipe.whole_drops->aim_de00 : recipe.aim_de00;
      EXPECT_LT(expected, answer->trial.aim_de00) << "only what should come nearer is offered";
      for (const results::MeasuredOut& item : recipe.dispense) EXPECT_NE(item.drops, 0);
    }
    verdicts.push_back(*answer->trial.verdict);
  }
  EXPECT_EQ(verdicts.front(), Verdict::within);
  EXPECT_EQ(verdicts.back(), Verdict::beyond);
  EXPECT_NE(std::find(verdicts.begin(), verdicts.end(), Verdict::undecided), verdicts.end());
}

TEST_F(KeptWork, ATrialGivenTwiceIsOneAndOtherBackingsAreSetAside) {
  ASSERT_TRUE(calibrate());
  const auto planned = plan();
  ASSERT_TRUE(planned) << planned.error().text();
  CorrectRequest correction;
  correction.recipe_file = "wash";
  correction.trials.files = {trial(*planned, 0.9)};
  const auto once = kept(correct, correction, as("after the trial"));
  ASSERT_TRUE(once) << once.error().text();
  correction.after_coat = static_cast<int>(planned->recipes.front().coats.size()) + 1;
  const auto beyond = correct(correction, path_);
  ASSERT_FALSE(beyond);
  EXPECT_EQ(beyond.error().where, "--after-coat");
  correction.after_coat.reset();
  ASSERT_FALSE(once->recipes.empty());
  correction.recipe_file = "after the trial";
  const auto twice = correct(correction, path_);
  ASSERT_TRUE(twice) << twice.error().text();
  EXPECT_EQ(twice->trials.size(), 1u);
  EXPECT_EQ(twice->trial.aim_de00, once->trial.aim_de00);

  correction.recipe_file = "wash";
  const std::string there = read("trial.csv");
  trial(*planned, 0.9, "black");
  const std::string elsewhere = read("trial.csv");
  const auto refused = correct(correction, path_);
  ASSERT_FALSE(refused);
  EXPECT_NE(refused.error().message.find("mount board"), std::string::npos);
  write("trial.csv", there + elsewhere.substr(elsewhere.find('\n') + 1));
  const auto freed = correct(correction, path_);
  ASSERT_TRUE(freed) << freed.error().text();
  EXPECT_EQ(freed->trials.size(), 1u);
  EXPECT_NE(freed->warnings.front().find("over black"), std::string::npos);
}

/// Every trial of the record that says its loads joins the next calibration.
TEST_F(KeptWork, TrialsOfTheRecordCalibrate) {
  const auto palette = calibrate();
  ASSERT_TRUE(palette) << palette.error().text();
  const auto planned = plan();
  ASSERT_TRUE(planned) << planned.error().text();
  const std::string bare = trial(*planned), text = read("trial.csv");
  std::string heading = text.substr(0, text.find('\n')), row = text.substr(heading.size() + 1);
  row.pop_back();
  const Palette& laid = planned->problem.palette.palette;
  const auto loads = loads_in(laid, planned->recipes.front().loads);
  for (std::size_t c = 0; c < loads.size(); ++c) {
    heading += ",load:" + laid.colorants[c].name;
    row += "," + std::to_string(loads[c]);
  }
  write("loaded.csv", heading + ",load_unit,lot\n" + row + ",g_m2,K116\n");
  keep("recipe", {{"name", "r"}});
  keep("trial", {{"name", "t"}, {"recipe", "r"}});
  ImportRequest request;
  request.record = path_;
  request.entry = entry();
  request.files = {bare, file("loaded.csv")};
  request.trial = "t";
  ASSERT_TRUE(record_import(request));
  const auto bytes = input_bytes("trials", {path_});
  ASSERT_TRUE(bytes) << bytes.error().text();
  EXPECT_EQ(json::parse(*bytes)["readings"].size(), 1u) << "the one that says its loads";
  ColorantRequest again;
  again.sources.files = {"ladders.csv", "trials"};
  const auto joined = kept(colorant, again, as("palette with trials"));
  ASSERT_TRUE(joined) << joined.error().text();
  // Beside the trial, the readings of the board that it lay on.
  EXPECT_EQ(joined->readings, palette->readings + 4);
}

/// A stock of the record that was weighed reads as the same stock in a file does.
TEST_F(KeptWork, StocksOfTheRecordAreAStockFile) {
  const auto bytes = input_bytes("stocks", {path_});
  ASSERT_TRUE(bytes) << bytes.error().text();
  EXPECT_EQ(bytes->substr(0, bytes->find('\n')),
            "colorant,stock,g_per_ml,ml_per_drop,drops,drops_g,density_g_ml");
  EXPECT_NE(bytes->find("ochre,ochre 1:20,0.03,,20,0.98,1\n"), std::string::npos) << *bytes;
}

/// The latest stock of a colorant is the one that stands on the bench.
TEST_F(KeptWork, TheLatestStockOfAColorantCounts) {
  keep("stock", {{"name", "ochre 1:40"}, {"dry_g_ml", "ochre=0.015"}});
  const auto bytes = input_bytes("stocks", {path_});
  ASSERT_TRUE(bytes);
  EXPECT_NE(bytes->find("ochre,ochre 1:40,0.015,,,,\n"), std::string::npos) << *bytes;
  EXPECT_EQ(bytes->find("1:20,0.03,"), std::string::npos) << *bytes;
}

/// A drawer's file makes the tissues that it names, and trials made on one are not readings of it.
TEST_F(KeptWork, ADrawerIsEnteredFromItsReadings) {
  ImportRequest request;
  request.record = path_;
  request.entry = entry();
  write("bench.csv",
        "name,role,backing,lot,grammage_g_m2,scale,400,450,500,550,600,650,700\n"
        "gampi 9,tissue,black,G7,9,fraction,0.20,0.21,0.22,0.23,0.23,0.23,0.23\n"
        "gampi 9,tissue,white,G7,9,fraction,0.80,0.82,0.83,0.84,0.84,0.84,0.84\n"
        "gampi 9 trial,trial,white,G7,9,fraction,0.50,0.52,0.55,0.60,0.64,0.66,0.67\n");
  request.files = {file("bench.csv")};
  request.new_tissues = true;
  auto done = record_import(request);
  ASSERT_TRUE(done) << done.error().text();
  EXPECT_EQ(done->files.front().tissues, std::vector<std::string>{"gampi 9"});
  keep("recipe", {{"name", "r"}});
  keep("trial", {{"name", "t"}, {"recipe", "r"}, {"tissue", "gampi 9"}});
  write("trial.csv",
        "name,role,backing,scale,400,450,500,550,600,650,700\n"
        "t,trial,white,fraction,0.51,0.52,0.55,0.60,0.64,0.66,0.67\n");
  request.files = {file("trial.csv")};
  request.tissue = "gampi 9";
  ASSERT_TRUE(record_import(request));
  const auto bytes = input_bytes("drawer", {path_});
  ASSERT_TRUE(bytes) << bytes.error().text();
  EXPECT_EQ(json::parse(*bytes)["readings"].size(), 2u);
}

/// Both backings of a sheet stand in the report, each with its own colour.
TEST_F(KeptWork, TheReportKeepsWhatWasReadOverTwoBackingsApart) {
  ReportRequest request;
  request.record = path_;
  request.sheet = "chart";
  const auto content = report_content(request);
  ASSERT_TRUE(content) << content.error().text();
  std::map<std::string, double> L;
  for (const auto& reading : content->readings)
    if (reading.spot == "loss 1") L[reading.backing] = reading.tone.lab.L;
  ASSERT_EQ(L.size(), 2u);
  EXPECT_LT(L["black"] + 2, L["white"]);
}

/// A fill that a wash tones is the fill of the report, and the ranking stands behind it.
TEST_F(KeptWork, TheReportTellsOfATonedFillAndOfItsTrial) {
  ASSERT_TRUE(calibrate());
  const auto planned = plan();
  ASSERT_TRUE(planned) << planned.error().text();
  keep("tissue", {{"name", "kozo 17 plain"}, {"lot", "K116"}});
  keep("recipe",
       {{"name", "wash 1"}, {"loss", "loss 1"}, {"computation", "wash"}, {"number", "1"}});
  keep("trial", {{"name", "trial 1"}, {"recipe", "wash 1"}});
  ImportRequest imported;
  imported.record = path_;
  imported.entry = entry();
  imported.files = {trial(*planned)};
  imported.trial = "trial 1";
  ASSERT_TRUE(record_import(imported));
  CorrectRequest correction;
  correction.recipe_file = "wash";
  correction.trials.files = {"trial 1"};
  ASSERT_TRUE(kept(correct, correction, as("after the trial")));
  keep("fill", {{"name", "toned"},
                {"loss", "loss 1"},
                {"tissue", "kozo 17 plain"},
                {"recipe", "wash 1"},
                {"verdict", "chosen"}});
  ReportRequest request;
  request.record = path_;
  request.sheet = "chart";
  const auto content = report_content(request);
  ASSERT_TRUE(content) << content.error().text();
  ASSERT_FALSE(content->fills.empty());
  const report::Fill& fill = content->fills.front();
  EXPECT_EQ(fill.name, "kozo 17 plain, toned by wash 1");
  EXPECT_TRUE(fill.chosen);
  // What is laid down is whole drops; the exact loads have another figure.
  EXPECT_DOUBLE_EQ(*fill.de00, planned->recipes.front().whole_drops->de00);
  ASSERT_TRUE(fill.measured) << "a fill whose wash was tried was read";
  ASSERT_TRUE(fill.sheet);
  EXPECT_EQ(fill.sheet->lab.L, planned->sheet.L);
  ASSERT_EQ(content->trials.size(), 1u);
  EXPECT_FALSE(content->trials.front().learned.empty());
  const report::Trial& told = content->trials.front();
  EXPECT_TRUE(told.de00_to_aim && told.de00_to_sheet && told.de00_to_prediction);
  EXPECT_EQ(fill.measured_de00, told.de00_to_sheet) << "one figure for one thing";
  ASSERT_TRUE(content->trials.front().measured);
}

TEST_F(KeptWork, NamesNeverMeanFilesWhereFilesAreBarred) {
  write("secret.csv", "name,400\nx,0.5\n");
  InputPlace barred(path_);
  barred.files = false;
  const auto refused = input_bytes(file("secret.csv"), barred);
  ASSERT_FALSE(refused);
  EXPECT_FALSE(is_file(file("secret.csv"), barred));
  EXPECT_TRUE(input_bytes("loss 1", barred));
  const auto lamp = compute(
      "tone",
      json{{"sources", {{"files", {"loss 1"}}}}, {"viewing", {{"lights", {file("secret.csv")}}}}}
          .dump(),
      barred);
  EXPECT_FALSE(lamp) << "a lamp file is a file too";
}

TEST_F(KeptWork, ComputesByVerbAndParameters) {
  const auto done = compute(
      "tone", R"({"sources":{"files":["chart/loss 1"]},"viewing":{"lights":["D50"]}})", {path_});
  ASSERT_TRUE(done) << done.error().text();
  EXPECT_EQ(json::parse(done->result)["tones"].size(), 4u)
      << "over black, over white, and both backings";
  EXPECT_TRUE(done->answered);
  EXPECT_EQ(done->inputs.count("chart/loss 1"), 1u);
  EXPECT_FALSE(compute("tone", R"({"sources":{"files":7}})", {path_}));
  EXPECT_FALSE(compute("tone", "{", {path_}));
  // A misspelt name or word must not become a default in silence.
  const auto odd = [&](const char* text) {
    const auto refused = compute("tissue", text, {path_});
    return refused ? std::string("computed") : refused.error().text();
  };
  EXPECT_NE(
      odd(R"({"target":"loss 1","tissues":["drawer"],"over":"black","plys":2})").find("/plys"),
      std::string::npos);
  EXPECT_NE(odd(R"({"target":"loss 1","question":{"uses":["los"]}})").find("/question/uses/0"),
            std::string::npos);
  EXPECT_FALSE(compute("paint", "{}", {path_}));
}

TEST_F(KeptWork, OneNameOnTwoSheetsIsNotMixed) {
  keep("sheet", {{"name", "plan"}});
  keep("loss", {{"name", "loss 1"}, {"sheet", "plan"}, {"nature", "loss"}});
  EXPECT_FALSE(input_bytes("loss 1", {path_}));
  EXPECT_TRUE(input_bytes("chart/loss 1", {path_}));
}

/// A photograph is known by its hash: figures from it are computed again while it is as it was.
TEST_F(KeptWork, ImageResultsFollowTheirPhotographs) {
  const auto paper = [](int x, int) { return Lab{86 + (x % 3) * 0.2, 2, 13}; };
  const std::string before = photograph("before.tif", paper);
  const std::string after = photograph("after.tif", [&](int x, int y) {
    return Lab{paper(x, y).L + 1, 2, 12};
  });
  keep("photograph",
       {{"name", "before"}, {"sheet", "chart"}, {"path", before}, {"stage", "before"}});
  keep("photograph", {{"name", "after"}, {"sheet", "chart"}, {"path", after}, {"stage", "after"}});
  keep("spot", {{"name", "margin"},
                {"sheet", "chart"},
                {"photograph", "before"},
                {"outline", "40,40 90,40 90,90 40,90"}});
  ImageToneRequest tone_request;
  tone_request.photo.file = "before";
  tone_request.regions = {"chart/margin", "corner=rect:0,0,30,30"};
  const auto toned = kept(image_tone, tone_request, as("paper"));
  ASSERT_TRUE(toned) << toned.error().text();
  EXPECT_EQ(toned->regions.front().name, "margin");
  EXPECT_NEAR(static_cast<double>(toned->regions.front().pixels), 2500, 120);
  ImageChangeRequest change_request;
  change_request.before.file = "before";
  change_request.after.file = after;
  change_request.align = "none";
  change_request.maps = file("change");
  const auto changed = kept(image_change, change_request, as("change"));
  ASSERT_TRUE(changed) << changed.error().text();

  auto checked = recheck({path_});
  ASSERT_TRUE(checked) << checked.error().text();
  EXPECT_TRUE(has_answer(*checked)) << to_text(*checked);

  photograph("after.tif", [&](int x, int y) { return Lab{paper(x, y).L + 2, 2, 12}; });
  checked = recheck({path_});
  ASSERT_TRUE(checked);
  std::string said = to_text(*checked);
  EXPECT_NE(said.find("changed since"), std::string::npos) << said;
  EXPECT_EQ(said.find("'paper'"), std::string::npos) << "the other one still agrees: " << said;

  std::filesystem::remove(before);
  EXPECT_EQ(image_tone(tone_request, {path_}).error().code, ErrorCode::outside_world);
}

/// A kept result of which a field is not known is said; the rest of the report stands.
TEST_F(KeptWork, OneResultThatCannotBeReadDoesNotStopTheReport) {
  ASSERT_TRUE(calibrate());
  ASSERT_TRUE(plan());
  {
    auto store = open_record(path_, Opening::must_exist);
    ASSERT_TRUE(store);
    for (const auto& kept : *record::current<record::Computation>(**store)) {
      if (kept.value.verb != "wash") continue;
      record::Computation spoilt = kept.value;
      spoilt.result.insert(spoilt.result.find('{') + 1, "\"strange\": 1,");
      ASSERT_TRUE(record::correct(**store, kept.id, spoilt, entry("spoilt by the test")));
    }
  }
  ReportRequest request;
  request.record = path_;
  request.sheet = "chart";
  const auto content = report_content(request);
  ASSERT_TRUE(content) << content.error().text();
  std::string unknowns;
  for (const std::string& one : content->unknowns) unknowns += one + "\n";
  EXPECT_NE(unknowns.find("wash"), std::string::npos) << unknowns;
  EXPECT_NE(unknowns.find("cannot be read"), std::string::npos) << unknowns;
}

/// Raking, transmitted and ultraviolet light are shown with their kind and never measured.
TEST_F(KeptWork, PhotographsInOtherLightAreShownAndNotMeasured) {
  const std::string path = photograph("uv.tif", [](int, int) { return Lab{40, -3, -20}; });
  keep("photograph", {{"name", "under ultraviolet"},
                      {"sheet", "chart"},
                      {"path", path},
                      {"stage", "before"},
                      {"lighting", "ultraviolet"}});
  ImageToneRequest tone_request;
  tone_request.photo.file = "under ultraviolet";
  tone_request.regions = {"corner=rect:0,0,30,30"};
  const auto toned = image_tone(tone_request, {path_});
  ASSERT_FALSE(toned);
  EXPECT_EQ(toned.error().code, ErrorCode::bad_request);
  EXPECT_NE(toned.error().message.find("ultraviolet"), std::string::npos);
  ReportRequest request;
  request.record = path_;
  request.sheet = "chart";
  const auto content = report_content(request);
  ASSERT_TRUE(content) << content.error().text();
  const std::string html = report::to_html(*content);
  EXPECT_NE(html.find("Under ultraviolet, ultraviolet."), std::string::npos);
}

/// What limits a comparison stands before its figures; where nothing differs, nothing is said.
TEST_F(KeptWork, PhotographsThatWereNotTakenAlikeAreSaidFirst) {
  const std::string path = photograph("one.tif", [](int, int) { return Lab{86, 2, 13}; });
  const auto taken = [&](const std::string& name, const std::string& camera,
                         const std::string& exposure) {
    keep("photograph", {{"name", name},
                        {"sheet", "chart"},
                        {"path", path},
                        {"camera", camera},
                        {"exposure", exposure}});
  };
  taken("before", "bench camera", "1/60 s");
  taken("alike", "bench camera", "1/60 s");
  taken("after", "hand camera", "1/60 s");
  const auto said = [&](const std::string& after) {
    ImageChangeRequest request;
    request.before.file = "before";
    request.after.file = after;
    request.align = "none";
    const auto changed = image_change(request, {path_});
    EXPECT_TRUE(changed) << changed.error().text();
    return changed ? to_text(*changed) : std::string();
  };
  const std::string unlike = said("after");
  const std::size_t warned =
      unlike.find("not taken alike (camera 'bench camera' and 'hand camera')");
  EXPECT_LT(warned, unlike.find("pixels compared")) << unlike;
  EXPECT_EQ(said("alike").find("not taken alike"), std::string::npos);
}

TEST_F(KeptWork, APlaceThatWasNeverDrawnIsRefusedInWords) {
  const std::string before = photograph("before.tif", [](int, int) { return Lab{86, 2, 13}; });
  ImageToneRequest request;
  request.photo = {before, "", "", 0};
  request.regions = {"chart/loss 1"};
  const auto refused = image_tone(request, {path_});
  ASSERT_FALSE(refused);
  EXPECT_NE(refused.error().text().find("outline was never drawn"), std::string::npos);
}

}  // namespace
}  // namespace mendtone::app::keep_test
