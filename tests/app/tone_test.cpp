#include "mendtone/results/walk.hpp"
#include "mendtone/app/tone/tone.hpp"

#include <gtest/gtest.h>

#include <clocale>
#include <locale>
#include <nlohmann/json.hpp>

#include "app/invented.hpp"
#include "mendtone/colour/difference.hpp"

namespace mendtone::app::tone_test {
namespace {

using test::lab_only;
using test::paper;

Viewing under(std::vector<std::string> names, Observer observer = Observer::deg10) {
  Viewing viewing{{}, observer};
  for (const auto& name : names) viewing.lights.push_back(*standard_light(name));
  return viewing;
}

bool says(const std::vector<std::string>& warnings, std::string_view part) {
  for (const auto& warning : warnings)
    if (warning.find(part) != std::string::npos) return true;
  return false;
}

TEST(Tone, EveryNameUnderEveryLightInTheOrderAsked) {
  const auto answer =
      tone_of({{paper("b"), paper("a"), paper("b", 0.01)}, {}}, under({"A", "D65"}), false);
  ASSERT_TRUE(answer);
  ASSERT_EQ(answer->tones.size(), 4u);
  EXPECT_EQ(answer->tones[0].name, "b");
  EXPECT_EQ(answer->tones[0].light, "A");
  EXPECT_EQ(answer->tones[1].light, "D65");
  EXPECT_EQ(answer->tones[2].name, "a");
  EXPECT_EQ(answer->tones[0].n, 2u);
  EXPECT_FALSE(answer->tones[2].spread_de00);
}

TEST(Tone, SpreadIsTheMeanDifferenceFromTheMeanSpectrum) {
  const auto answer =
      tone_of({{paper("a"), paper("a", 0.01), paper("a", 0.02)}, {}}, under({"D65"}), false);
  ASSERT_TRUE(answer);
  const auto alone = [&](double shift) {
    return tone_of({{paper("x", shift)}, {}}, under({"D65"}), false)->tones[0].lab;
  };
  const Lab mean = alone(0.01);
  EXPECT_NEAR(answer->tones[0].lab.L, mean.L, 1e-12);
  EXPECT_NEAR(*answer->tones[0].spread_de00, (de00(mean, alone(0)) + de00(mean, alone(0.02))) / 3,
              1e-12);
  EXPECT_TRUE(answer->tones[0].outliers.empty());
}

TEST(Tone, NamesTheRepeatThatStandsApart) {
  ReadFile file;
  for (const double shift : {0.0, 0.001, -0.001, 0.0005, 0.05})
    file.readings.push_back(paper("a", shift));
  for (std::size_t i = 0; i < 5; ++i) file.readings[i].repeat = "r" + std::to_string(i + 1);
  const auto answer = tone_of(file, under({"D65"}), false);
  ASSERT_TRUE(answer);
  EXPECT_EQ(answer->tones[0].outliers, std::vector<std::string>{"r5"});
  EXPECT_TRUE(says(answer->tones[0].warnings, "repeat r5 stands apart"));
}

TEST(Tone, LabOnlyIsShownUnderItsOwnLightAndRefusedUnderAnother) {
  const ReadFile file{{lab_only("old record", 86, 2, 14)}, {}};
  const auto own = tone_of(file, under({"D65"}), true);
  ASSERT_TRUE(own);
  EXPECT_EQ(own->tones[0].light, "D50");
  EXPECT_EQ(own->tones[0].observer_deg, 2);
  EXPECT_NEAR(own->tones[0].lab.b, 14, 1e-12);
  const auto other = tone_of(file, under({"D65"}), false);
  ASSERT_FALSE(other);
  EXPECT_EQ(other.error().code, ErrorCode::bad_input);
  EXPECT_NE(other.error().message.find("bound to D50, 2 degrees"), std::string::npos);
}

TEST(Tone, BesideASpectrumTheRefusedLabIsNamed) {
  const auto answer =
      tone_of({{paper("sheet"), lab_only("old record", 86, 2, 14)}, {}}, under({"D65"}), false);
  ASSERT_TRUE(answer);
  EXPECT_EQ(answer->tones.size(), 1u);
  ASSERT_EQ(answer->refused.size(), 1u);
  EXPECT_EQ(answer->refused[0].name, "old record");
}

TEST(Tone, WarnsOfShortRangeStrangeValuesAndSilence) {
  Reading bare = paper("a");
  bare.backing.clear();
  bare.condition = Condition::unstated;
  bare.spectrum = Spectrum{WavelengthGrid::equal_steps(400, 10, 31), std::vector<double>(31, 0.5)};
  bare.spectrum->value[3] = -0.01;
  bare.spectrum->value[30] = 1.4;
  const auto answer = tone_of({{bare}, {}}, under({"D65"}), false);
  ASSERT_TRUE(answer);
  const auto& warnings = answer->tones[0].warnings;
  EXPECT_TRUE(says(warnings, "2 bands below (to 380 nm) and 8 above (to 780 nm)"));
  EXPECT_TRUE(says(warnings, "1 values below 0, the lowest -0.0100"));
  EXPECT_TRUE(says(warnings, "1 values above 1.2, the highest 1.400"));
  EXPECT_TRUE(says(warnings, "not stated: measurement condition (M0-M3), backing"));
  EXPECT_TRUE(tone_of({{paper("a")}, {}}, under({"D65"}), false)->tones[0].warnings.empty());
}

TEST(Tone, ABrightenerMakesOtherLightsUnpredictable) {
  Reading m2 = paper("a"), m1 = paper("a");
  m1.condition = Condition::m1;
  for (std::size_t i = 3; i < 12; ++i) m1.spectrum->value[i] += 0.05;  // glows at 410-490 nm
  const auto answer = tone_of({{m1, m2}, {}}, under({"D50", "LED-B1"}), false);
  ASSERT_TRUE(answer);
  ASSERT_EQ(answer->tones.size(), 4u);
  EXPECT_FALSE(says(answer->tones[0].warnings, "brightener"));
  EXPECT_TRUE(says(answer->tones[1].warnings, "cannot be predicted"));
}

TEST(Tone, ALightOutsideTheReadingIsRefusedByName) {
  Reading short_range = paper("uv only", 0, 20);
  const auto answer = tone_of({{short_range}, {}}, under({"D65"}), false);
  ASSERT_FALSE(answer);
  EXPECT_EQ(answer.error().where, "uv only");
}

TEST(Tone, JsonHasTheAgreedFields) {
  const auto answer = tone_of({{paper("a \"quoted\""), paper("\xE9")}, {}}, under({"D65"}), false);
  const auto json = nlohmann::json::parse(results::to_json(*answer));
  EXPECT_EQ(json["schema"], "mendtone.tone");
  EXPECT_TRUE(json.contains("version"));
  const auto& tone = json["tones"][0];
  for (const char* field :
       {"name", "light", "observer", "xyz", "lab", "lch", "n", "spread_de00", "warnings"})
    EXPECT_TRUE(tone.contains(field)) << field;
  EXPECT_EQ(tone["name"], "a \"quoted\"");
  EXPECT_EQ(tone["lab"][0].get<double>(), answer->tones[0].lab.L);
  EXPECT_TRUE(tone["spread_de00"].is_null());
}

/// Decimal comma and grouping dots, without needing a locale of the system.
struct DecimalComma : std::numpunct<char> {
  char do_decimal_point() const override { return ','; }
  char do_thousands_sep() const override { return '.'; }
  std::string do_grouping() const override { return "\3"; }
};

TEST(Tone, SaysTheSameUnderADecimalCommaLocale) {
  const ReadFile file{{paper("a"), paper("a", 0.01)}, {}};
  const auto said = [&] {
    const auto answer = tone_of(file, under({"D65", "LED-B1", "blackbody-2700"}), false);
    return to_text(*answer) + results::to_json(*answer) + results::to_csv(*answer);
  };
  const std::string plain = said();
  const std::locale before = std::locale::global(std::locale(std::locale(), new DecimalComma));
  std::setlocale(LC_ALL, "de_DE.UTF-8");  // where it exists, the C library's too
  const std::string comma = said();
  std::setlocale(LC_ALL, "C");
  std::locale::global(before);
  EXPECT_EQ(plain, comma);
}

}  // namespace
}  // namespace mendtone::app::tone_test
