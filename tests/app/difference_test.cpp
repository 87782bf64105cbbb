#include "mendtone/results/walk.hpp"
#include "mendtone/app/tone/difference.hpp"

#include <gtest/gtest.h>

#include <clocale>
#include <locale>
#include <nlohmann/json.hpp>

#include "app/invented.hpp"

namespace mendtone::app::difference_test {
namespace {

using test::lab_only;
using test::paper;

Viewing under(std::vector<std::string> names) {
  Viewing viewing{{}, Observer::deg10};
  for (const auto& name : names) viewing.lights.push_back(*standard_light(name));
  return viewing;
}

/// Five readings of one spot about `shift`, spread as an instrument spreads.
ReadFile five(const std::string& name, double shift = 0) {
  ReadFile file;
  int i = 0;
  for (const double wobble : {0.0, 0.0012, -0.0009, 0.0006, -0.0011}) {
    file.readings.push_back(paper(name, shift + wobble));
    auto& value = file.readings.back().spectrum->value;
    value[static_cast<std::size_t>(3 + i)] += 0.002;  // not only up and down
    value[static_cast<std::size_t>(14 + 3 * i)] -= 0.002;
    ++i;
  }
  return file;
}

bool says(const std::vector<std::string>& warnings, std::string_view part) {
  for (const auto& warning : warnings)
    if (warning.find(part) != std::string::npos) return true;
  return false;
}

TEST(Difference, PairsByNameUnderEveryLight) {
  ReadFile before = five("margin"), after = five("margin", -0.05);
  before.readings.push_back(paper("lost"));
  after.readings.push_back(paper("new"));
  const auto answer = difference_of(before, after, under({"D65", "A"}), {});
  ASSERT_TRUE(answer);
  ASSERT_EQ(answer->pairs.size(), 2u);
  const Pair& pair = answer->pairs[0];
  EXPECT_EQ(pair.light, "D65");
  EXPECT_EQ(answer->pairs[1].light, "A");
  EXPECT_LT(pair.parts.dL, -2);  // it got darker
  EXPECT_NEAR(pair.change.de00, de00(pair.before, pair.after), 1e-9);
  EXPECT_EQ(pair.change.verdict, Verdict::beyond);
  EXPECT_EQ(answer->only_before, std::vector<std::string>{"lost"});
  EXPECT_EQ(answer->only_after, std::vector<std::string>{"new"});
  EXPECT_TRUE(has_answer(*answer));
}

TEST(Difference, BackingsAreComparedOnlyByThemselves) {
  Reading white = paper("white");
  white.role = Role::backing;
  white.backing.clear();
  const ReadFile both{{paper("margin"), white}, {}}, alone{{white}, {}};
  const auto view = viewing({{"D65"}, 10}, {}, {});
  const auto found = difference_of(both, both, *view, {}, false);
  ASSERT_TRUE(found) << found.error().text();
  ASSERT_EQ(found->pairs.size(), 1u);
  EXPECT_EQ(found->pairs[0].name, "margin");
  EXPECT_EQ(difference_of(alone, alone, *view, {}, false)->pairs.size(), 1u);
}

TEST(Difference, TheSameReadingsAreWithin) {
  const auto answer = difference_of(five("a"), five("a"), under({"D65"}), {});
  ASSERT_TRUE(answer);
  EXPECT_EQ(answer->pairs[0].change.de00, 0);
  EXPECT_EQ(answer->pairs[0].change.verdict, Verdict::within);
}

TEST(Difference, AnUndecidedPairIsNoAnswer) {
  ChangeSettings settings;
  const auto probe = difference_of(five("a"), five("a", -0.012), under({"D65"}), settings);
  settings.tolerance_de00 = probe->pairs[0].change.de00;  // just what was measured
  const auto answer = difference_of(five("a"), five("a", -0.012), under({"D65"}), settings);
  EXPECT_EQ(answer->pairs[0].change.verdict, Verdict::undecided);
  EXPECT_FALSE(has_answer(*answer));
}

TEST(Difference, RefusesM1WithM2ExceptForTheBrightener) {
  Reading m1 = paper("a"), m2 = paper("a");
  m1.condition = Condition::m1;
  for (std::size_t i = 3; i < 12; ++i) m1.spectrum->value[i] += 0.05;
  const ReadFile before{{m1}, {}}, after{{m2}, {}};
  const auto refused = difference_of(before, after, under({"D65"}), {});
  ASSERT_FALSE(refused);
  EXPECT_NE(refused.error().message.find("brightener"), std::string::npos);
  EXPECT_EQ(refused.error().where, "a");
  const auto flag = difference_of(before, after, under({"D65"}), {}, true);
  ASSERT_TRUE(flag);
  EXPECT_TRUE(flag->pairs.empty());
  ASSERT_EQ(flag->brighteners.size(), 1u);
  EXPECT_TRUE(flag->brighteners[0].flagged);
}

TEST(Difference, EachConditionFindsItsOwnPartner) {
  ReadFile before = five("a"), after = five("a", -0.02);
  for (Reading r : five("a").readings) {
    r.backing = "white";
    before.readings.push_back(r);
    after.readings.insert(after.readings.begin(), r);  // the other order
  }
  const auto answer = difference_of(before, after, under({"D65"}), {});
  ASSERT_TRUE(answer);
  ASSERT_EQ(answer->pairs.size(), 2u);
  EXPECT_GT(answer->pairs[0].change.de00, 0.5);
  EXPECT_LT(answer->pairs[1].change.de00, 1e-9);
}

TEST(Difference, AnotherBackingIsRefusedAndSaysWhy) {
  ReadFile before = five("a"), after = five("a");
  for (Reading& r : after.readings) r.backing = "white";
  const auto answer = difference_of(before, after, under({"D65"}), {});
  ASSERT_FALSE(answer);
  EXPECT_NE(answer.error().message.find("backing differs: black before, white after"),
            std::string::npos);
}

TEST(Difference, ADoubtStaysInTheResult) {
  ReadFile before = five("a"), after = five("a");
  for (Reading& r : before.readings) r.instrument = "ours";
  for (Reading& r : after.readings) r.instrument = "lent";
  const auto answer = difference_of(before, after, under({"D65"}), {});
  ASSERT_TRUE(answer);
  EXPECT_TRUE(says(answer->pairs[0].warnings, "the instrument differs"));
}

TEST(Difference, UnequalGridsAreBroughtTogetherAndCounted) {
  ReadFile before = five("a"), after;
  Reading narrow = paper("a");
  narrow.spectrum = Spectrum{WavelengthGrid::equal_steps(400, 20, 16), {}};
  for (std::size_t i = 0; i < 16; ++i)
    narrow.spectrum->value.push_back(paper("a").spectrum->value[2 + 2 * i]);
  after.readings = {narrow, narrow, narrow};
  const auto answer = difference_of(before, after, under({"D65"}), {});
  ASSERT_TRUE(answer);
  EXPECT_EQ(answer->pairs[0].bands_extrapolated, 5u);
  EXPECT_TRUE(says(answer->pairs[0].warnings, "5 bands beyond their range held"));
  EXPECT_LT(answer->pairs[0].change.de00, 0.2);
}

TEST(Difference, LabOnlyIsComparedUnderItsOwnLightOnly) {
  const ReadFile before{{lab_only("a", 86, 2, 14)}, {}}, after{{lab_only("a", 84, 2, 15)}, {}};
  const auto answer = difference_of(before, after, under({"D65"}), {});
  ASSERT_TRUE(answer);
  EXPECT_EQ(answer->pairs[0].light, "D50");
  EXPECT_EQ(answer->pairs[0].observer_deg, 2);
  ASSERT_EQ(answer->refused.size(), 1u);
  EXPECT_EQ(answer->refused[0].light, "D65");
  const ReadFile other{{lab_only("a", 84, 2, 15, "D65", 10)}, {}};
  EXPECT_FALSE(difference_of(before, other, under({"D65"}), {}));
}

TEST(Difference, TheMetamerismIndexStandsBesideThePlainDifference) {
  const auto answer = difference_of(five("a"), five("a", -0.05), under({"D65", "A", "LED-B1"}), {});
  ASSERT_TRUE(answer);
  ASSERT_EQ(answer->pairs[0].metamerism.size(), 2u);
  EXPECT_EQ(answer->pairs[0].metamerism[0].test_light, "A");
  EXPECT_NEAR(answer->pairs[0].metamerism[0].plain_de00, answer->pairs[1].change.de00, 1e-9);
  EXPECT_TRUE(answer->pairs[1].metamerism.empty());
}

TEST(Difference, OneReadingEachIsSaidToBeAnAssumption) {
  const auto answer =
      difference_of({{paper("a")}, {}}, {{paper("a", -0.1)}, {}}, under({"D65"}), {});
  ASSERT_TRUE(answer);
  EXPECT_TRUE(says(answer->pairs[0].warnings, "one reading on each side"));
  EXPECT_EQ(answer->pairs[0].change.verdict, Verdict::beyond);
}

TEST(Difference, JsonHasTheAgreedFields) {
  const auto answer = difference_of(five("a"), five("a", -0.02), under({"D65"}), {});
  const auto json = nlohmann::json::parse(results::to_json(*answer));
  EXPECT_EQ(json["schema"], "mendtone.difference");
  const auto& pair = json["pairs"][0];
  for (const char* field : {"name", "light", "de00", "de_ab", "dL", "da", "db", "dC", "dH", "u95",
                            "verdict", "warnings"})
    EXPECT_TRUE(pair.contains(field)) << field;
  EXPECT_EQ(pair["de00"].get<double>(), answer->pairs[0].change.de00);
  EXPECT_EQ(json["settings"]["tolerance_de00"], 0.8);
}

struct DecimalComma : std::numpunct<char> {
  char do_decimal_point() const override { return ','; }
  char do_thousands_sep() const override { return '.'; }
  std::string do_grouping() const override { return "\3"; }
};

TEST(Difference, SaysTheSameUnderADecimalCommaLocale) {
  const auto said = [] {
    const auto answer = difference_of(five("a"), five("a", -0.02), under({"D65", "A"}), {});
    return to_text(*answer) + results::to_json(*answer) + results::to_csv(*answer);
  };
  const std::string plain = said();
  const std::locale before = std::locale::global(std::locale(std::locale(), new DecimalComma));
  const std::string comma = said();
  std::locale::global(before);
  EXPECT_EQ(plain, comma);
}

}  // namespace
}  // namespace mendtone::app::difference_test
