#include "mendtone/app/record/shown_over.hpp"

#include <gtest/gtest.h>

#include "adapters/record_samples.hpp"
#include "adapters/scratch.hpp"
#include "app/examples.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/app/record/recheck.hpp"
#include "mendtone/app/record/record.hpp"
#include "mendtone/app/tissue/drawer.hpp"
#include "mendtone/app/wash/colorant.hpp"
#include "mendtone/app/wash/wash.hpp"

// What lies behind a sheet when it is shown is said once and kept with the sheet.
namespace mendtone::app::shown_over_test {

using record::entry;
using test::example;

class ShownOverIt : public ::testing::Test {
 protected:
  void SetUp() override {
    ASSERT_TRUE(new_record(path_));
    keep("sheet", {{"name", "chart, <old>"}}, "");
    keep("loss", {{"name", "loss \"B\""}, {"sheet", "chart, <old>"}, {"nature", "loss"}}, "");
    bring({"backings.csv", "drawer.csv", "ladders.csv"}, "");
    bring({"chart.cgats"}, "loss \"B\"");
  }
  void keep(const std::string& kind, const Written& columns, const std::string& thing) {
    const auto kept =
        record_keep({path_, entry(thing.empty() ? "" : "said later"), kind, columns, thing});
    ASSERT_TRUE(kept) << kept.error().text();
  }
  void bring(const std::vector<std::string>& names, const std::string& loss) {
    ImportRequest request;
    request.record = path_;
    request.entry = entry();
    request.new_tissues = true;
    for (const std::string& name : names) request.files.push_back(example(name));
    request.loss = loss;
    if (!loss.empty()) request.sheet = "chart, <old>";
    const auto done = record_import(request);
    ASSERT_TRUE(done) << done.error().text();
  }
  void say(const std::string& over) { keep("sheet", {{"shown_over", over}}, "chart, <old>"); }
  Keeping as(const std::string& name) const { return {path_, entry(), name, "", ""}; }

  TissueRequest ranking() const {
    TissueRequest request;
    request.target = "chart, <old>/loss \"B\"";
    request.tissues = {"drawer"};
    request.question.trials = 0;
    return request;
  }
  Result<WashAnswer> washed(const std::string& over, Use use = Use::loss) {
    WashRequest request;
    request.target = "chart, <old>/loss \"B\"";
    request.on = "kozo 17 plain";
    request.palette = "palette";
    request.over = over;
    request.use = use;
    request.top = 1;
    request.at_most = 1;
    return kept(wash, request, as("wash"));
  }
  void calibrate() {
    ColorantRequest request;
    request.sources.files = {"ladders.csv"};
    const auto done = kept(colorant, request, as("palette"));
    ASSERT_TRUE(done) << done.error().text();
  }

  Scratch scratch_;
  std::string path_ = scratch_.file("lab.record");
};

TEST_F(ShownOverIt, WhereNobodySaidItNothingIsTakenAndTheWayIsTold) {
  const auto refused = kept(tissue, ranking(), as(""));
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().code, ErrorCode::bad_request);
  EXPECT_EQ(refused.error().where, "--over");
  for (const char* word : {"'chart, <old>'", "--over NAME", "shown_over=NAME", "mount board"})
    EXPECT_NE(refused.error().message.find(word), std::string::npos)
        << word << ": " << refused.error().message;
  EXPECT_EQ(refused.error().message.find("kozo"), std::string::npos)
      << "bare tissue is no backing: " << refused.error().message;
  calibrate();
  const auto no_wash = washed("");
  ASSERT_FALSE(no_wash);
  EXPECT_EQ(no_wash.error().message, refused.error().message);
  const auto drawer_search = drawer({ranking(), {}, 3}, as(""));
  ASSERT_FALSE(drawer_search.answer);
  EXPECT_EQ(drawer_search.answer.error().message, refused.error().message);
}

TEST_F(ShownOverIt, WhatIsKeptWithTheSheetIsTakenAndSaid) {
  say("mount board");
  const std::string said = "as the record keeps it of the sheet 'chart, <old>'";
  const auto ranked = kept(tissue, ranking(), as("ranking"));
  ASSERT_TRUE(ranked) << ranked.error().text();
  EXPECT_EQ(ranked->over, "mount board");
  EXPECT_EQ(ranked->over_from, said);
  std::string text = to_text(*ranked);
  for (std::size_t at; (at = text.find('\n')) != std::string::npos;) text.replace(at, 1, " ");
  EXPECT_NE(text.find("shown over 'mount board', as the record"), std::string::npos) << text;
  // The same as when it is said, which needs no such words.
  TissueRequest asked = ranking();
  asked.over = "mount board";
  const auto told = kept(tissue, asked, as(""));
  ASSERT_TRUE(told) << told.error().text();
  EXPECT_EQ(told->over_from, "");
  EXPECT_EQ(told->candidates.front().de00, ranked->candidates.front().de00);
  const auto leftovers = drawer({ranking(), {}, 3}, as(""));
  ASSERT_TRUE(leftovers.answer) << leftovers.answer.error().text();
  EXPECT_EQ(leftovers.answer->ranking.over_from, said);
  calibrate();
  const auto planned = washed("");
  ASSERT_TRUE(planned) << planned.error().text();
  EXPECT_EQ(planned->problem.over, "mount board");
  EXPECT_EQ(planned->problem.over_from, said);
  EXPECT_NE(to_text(*planned).find("over 'mount board' (" + said + ")"), std::string::npos);
  const auto checked = recheck({path_});
  ASSERT_TRUE(checked) << checked.error().text();
  EXPECT_TRUE(has_answer(*checked)) << to_text(*checked);
}

TEST_F(ShownOverIt, AnAnswerForAStatedSheetTakesThatSheets) {
  say("mount board");
  TissueRequest request = ranking();
  request.target = example("chart.cgats");  // a file, which belongs to no sheet by itself
  request.target_name = "loss 1";
  ASSERT_FALSE(kept(tissue, request, as("")));
  Keeping place = as("");
  place.sheet = "chart, <old>";
  const auto ranked = kept(tissue, request, place);
  ASSERT_TRUE(ranked) << ranked.error().text();
  EXPECT_EQ(ranked->over, "mount board");
}

TEST_F(ShownOverIt, WhatIsKeptButWasNotReadIsRefusedWithWhereItCameFrom) {
  say("the wall");
  const auto refused = kept(tissue, ranking(), as(""));
  ASSERT_FALSE(refused);
  EXPECT_NE(refused.error().message.find("no reading of the backing 'the wall'"),
            std::string::npos);
  EXPECT_NE(refused.error().message.find("keeps of the sheet 'chart, <old>'"), std::string::npos)
      << refused.error().message;
}

/// The ladders' bare tissue was read over black and white: it has readings like a backing's.
TEST_F(ShownOverIt, BareTissueLiesBehindALiningOnly) {
  TissueRequest request = ranking();
  request.over = "kozo 17 plain";
  for (const std::vector<Use>& uses : {std::vector<Use>{Use::loss}, std::vector<Use>{Use::tear},
                                       std::vector<Use>{Use::lining, Use::loss}}) {
    request.question.uses = uses;
    const auto refused = kept(tissue, request, as(""));
    ASSERT_FALSE(refused);
    EXPECT_EQ(refused.error().code, ErrorCode::bad_request);
    EXPECT_NE(refused.error().message.find("only as its lining"), std::string::npos)
        << refused.error().message;
  }
  request.question.uses = {Use::lining};
  const auto lined = kept(tissue, request, as(""));
  ASSERT_TRUE(lined) << lined.error().text();
  EXPECT_EQ(lined->over, "kozo 17 plain");
  calibrate();
  const auto refused = washed("kozo 17 plain");
  ASSERT_FALSE(refused);
  EXPECT_NE(refused.error().message.find("only as its lining"), std::string::npos);
  const auto lining = washed("kozo 17 plain", Use::lining);
  EXPECT_TRUE(lining) << lining.error().text();
  const auto names = backings_to_choose(path_);
  ASSERT_TRUE(names);
  EXPECT_NE(std::find(names->begin(), names->end(), "mount board"), names->end());
  EXPECT_EQ(std::find(names->begin(), names->end(), "kozo 17 plain"), names->end());
}

}  // namespace mendtone::app::shown_over_test
