#include <gtest/gtest.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "mendtone/report/sentences.hpp"
#include "mendtone/report/write.hpp"
#include "report/kestrel_bay.hpp"
#include "report/plot.hpp"
#include "report/words.hpp"

namespace mendtone::report::figures_test {
namespace {

TEST(Words, NumbersCarryATrueMinus) {
  EXPECT_EQ(number(-1.25, 1), "\u22121.2");
  EXPECT_EQ(signed_number(0.04, 1), "0.0");
  EXPECT_EQ(significant(0.0071234), "0.00712");
  EXPECT_EQ(significant(41.26), "41.3");
  EXPECT_EQ(significant(412.6), "413");
}

TEST(Words, SmallPartsAreNotNamed) {
  EXPECT_EQ(direction_words(0.19, -0.1, 0.0), "");
  EXPECT_EQ(direction_words(-0.4, 0.1, 0.61), "darker by 0.4\u00a0L*, yellower by 0.6\u00a0b*");
}

// Every sentence is whole: it begins with a letter or a place and its braces are in pairs.
TEST(Sentences, AreWholeAndTheirPlacesAreFilled) {
  for (const Sentence one : all_sentences()) {
    const std::string text(words_of(one));
    ASSERT_FALSE(text.empty());
    EXPECT_EQ(std::count(text.begin(), text.end(), '{'), std::count(text.begin(), text.end(), '}'))
        << text;
    EXPECT_TRUE(text.back() != ' ' && text.front() != ' ') << text;
  }
  EXPECT_EQ(say(Sentence::no_choice_for, {{"loss", "tear 2"}}),
            "Which fill was taken for tear 2: no choice is recorded.");
  const std::string html = to_html(sample::kestrel_bay());
  const std::size_t body = html.find("<body>");
  EXPECT_EQ(html.find('{', body), std::string::npos) << html.substr(html.find('{', body) - 60, 120);
}

TEST(Words, AnUndecidedChangeSaysWhatWouldDecide) {
  ReportContent content = sample::kestrel_bay();
  content.differences[2].more_readings = 7;
  const std::string html = to_html(content);
  EXPECT_NE(html.find("not decidable against the tolerance of 0.8"), std::string::npos);
  EXPECT_NE(html.find("7 more readings on each side decide in 80 % of cases"), std::string::npos);
}

TEST(Axis, HoldsItsRangeOnRoundTicks) {
  const Axis axis = axis_for(0.13, 1.87, 5);
  EXPECT_LE(axis.first, 0.13);
  EXPECT_GE(axis.last, 1.87);
  EXPECT_EQ(axis.ticks().front(), axis.first);
  EXPECT_NEAR(axis.ticks().back(), axis.last, 1e-9);
  EXPECT_EQ(axis.decimals, 1);
}

TEST(Outlines, AreFittedWithTheirProportions) {
  const Outline wide{{{0, 0}, {200, 0}, {200, 50}, {0, 50}}};
  const auto points = fitted(wide, {10, 10}, 100, 100);
  EXPECT_NEAR(points[1].x - points[0].x, 100, 1e-9);
  EXPECT_NEAR(points[2].y - points[1].y, 25, 1e-9);
}

TEST(Json, HoldsTheFiguresUnrounded) {
  const ReportContent content = sample::kestrel_bay();
  const auto json = nlohmann::json::parse(to_json(content));
  EXPECT_EQ(json["schema"], "mendtone.report");
  EXPECT_EQ(json["version"], 1);
  ASSERT_EQ(json["differences"].size(), content.differences.size());
  for (std::size_t i = 0; i < content.differences.size(); ++i) {
    EXPECT_EQ(json["differences"][i]["de00"].get<double>(), content.differences[i].de00);
    EXPECT_EQ(json["differences"][i]["light"], "D65");
  }
  EXPECT_EQ(json["readings"][0]["wavelengths_nm"].size(), content.readings[0].curve.nm.size());
  EXPECT_FALSE(json["methods"].get<std::string>().empty());
}

TEST(Json, BytesThatAreNoTextDoNotBreakIt) {
  ReportContent content = sample::kestrel_bay();
  content.readings[0].spot = "S1 \xff\xfe";
  EXPECT_TRUE(nlohmann::json::accept(to_json(content)));
}

TEST(Csv, EveryRowHasNineCells) {
  ReportContent content = sample::kestrel_bay();
  content.fills[0].name = "kozo, \"17\"";
  const std::string csv = to_csv(content);
  std::size_t commas = 0, rows = 0;
  bool quoted = false;
  for (const char c : csv) {
    if (c == '"') quoted = !quoted;
    if (c == ',' && !quoted) ++commas;
    if (c != '\n' || quoted) continue;
    EXPECT_EQ(commas, 8u) << "row " << rows;
    commas = 0;
    ++rows;
  }
  EXPECT_GT(rows, 200u);
  EXPECT_NE(csv.find("\"kozo, \"\"17\"\", 2 plies\""), std::string::npos);
}

// What no one measured is said, not left for the reader to miss.
TEST(Unknowns, AreFoundByTheReportItself) {
  ReportContent content = sample::kestrel_bay();
  content.readings[0].instrument.clear();
  content.readings[1].region.reset();
  for (Fill& fill : content.fills) fill.chosen = false;
  const std::string html = to_html(content);
  EXPECT_NE(html.find("The instrument is not stated for 1 of 6 tones."), std::string::npos);
  EXPECT_NE(html.find("no region could be drawn"), std::string::npos);
  EXPECT_NE(html.find("no choice is recorded"), std::string::npos);
}

}  // namespace
}  // namespace mendtone::report::figures_test
