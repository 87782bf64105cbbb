#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>

#include "adapters/record_samples.hpp"
#include "adapters/scratch.hpp"
#include "app/invented.hpp"
#include "formats/zip.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/app/inputs/lamps.hpp"
#include "mendtone/app/inputs/readings.hpp"
#include "mendtone/app/inputs/viewing.hpp"
#include "mendtone/app/record/recheck.hpp"
#include "mendtone/app/record/record.hpp"
#include "mendtone/app/tone/lamp.hpp"
#include "mendtone/app/tone/tone.hpp"
#include "mendtone/app/verb.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/formats/write.hpp"
#include "mendtone/results/walk.hpp"

// Files as labs have them, through the use-cases.
namespace mendtone::app::files_test {
namespace {

using test::paper;

bool holds(const std::string& text, const std::string& words) {
  return text.find(words) != std::string::npos;
}

bool warns(const ReadFile& file, const std::string& words) {
  for (const Warning& warning : file.warnings)
    if (holds(warning.text, words)) return true;
  return false;
}

/// A lamp's file of one CIE table, and what is to be stated above it.
std::string lamp_file(const char* light, const std::string& head = "") {
  std::string text = head + "nm,power\n";
  for (int nm = 380; nm <= 780; nm += 5)
    text += std::to_string(nm) + "," + shortest(power_at(*standard_light(light), nm)) + "\n";
  return text;
}

std::string two_lamps() {
  std::string text = "nm;north;south\n";
  for (int nm = 380; nm <= 780; nm += 5)
    text += std::to_string(nm) + ";" + shortest(power_at(*standard_light("LED-B1"), nm)) + ";" +
            shortest(power_at(*standard_light("LED-B3"), nm)) + "\n";
  return text;
}

TEST(LampVerb, FactsOfALampFile) {
  const Scratch scratch;
  const std::string path = scratch.file("hall (north).csv");
  write_contents(path, lamp_file("LED-B2", "CCT,3003\nx,0.4357\ny,0.4012\n"));
  const auto answer = lamp({{path}}, {});
  ASSERT_TRUE(answer) << answer.error().text();
  ASSERT_EQ(answer->lamps.size(), 1u);
  const LampFacts& facts = answer->lamps[0];
  EXPECT_EQ(facts.name, "hall (north)");
  // CIE 15:2018: LED-B2, 2998 K, x 0.4357, y 0.4012.
  EXPECT_NEAR(*facts.cct_K, 2998, 0.5);
  EXPECT_NEAR(facts.x, 0.4357, 5e-5);
  EXPECT_NEAR(facts.y, 0.4012, 5e-5);
  EXPECT_EQ(facts.stated_cct_K, 3003);
  EXPECT_TRUE(facts.warnings.empty()) << facts.warnings[0];
  EXPECT_EQ(facts.bands_held, 0u);
  ASSERT_TRUE(facts.below_400_percent);
  EXPECT_LT(*facts.below_400_percent, 1);
  EXPECT_TRUE(holds(to_text(*answer), "colour temperature 2998 K")) << to_text(*answer);
}

TEST(LampVerb, WhatTheFileContradictsIsSaid) {
  const Scratch scratch;
  const std::string path = scratch.file("hall.csv");
  write_contents(path, lamp_file("LED-B2", "CCT,2960\nx,0.4390\ny,0.4012\n"));
  const auto answer = lamp({{path}}, {});
  ASSERT_TRUE(answer);
  ASSERT_EQ(answer->lamps[0].warnings.size(), 2u);  // x by 0.003, the temperature by 1.3 %
  EXPECT_TRUE(holds(answer->lamps[0].warnings[0], "states x 0.439; its power gives 0.4357"));
  EXPECT_TRUE(holds(answer->lamps[0].warnings[1], "of 2960 K; its power gives 2998 K"));
  // Colours judged under it say so too.
  const auto seen = viewing({{path}, 10}, {}, {});
  ASSERT_TRUE(seen);
  EXPECT_EQ(seen->warnings.size(), 2u);
  const auto tones = tone_of({{paper("margin")}, {}}, *seen, false);
  ASSERT_TRUE(tones);
  EXPECT_EQ(tones->warnings.size(), 2u);
}

TEST(LampVerb, OneOfSeveralByName) {
  const Scratch scratch;
  const std::string path = scratch.file("meter #2.txt");
  write_contents(path, two_lamps());
  EXPECT_EQ(lamp({{path}}, {})->lamps.size(), 2u);
  const auto south = lamp({{path + "#south"}}, {});
  ASSERT_TRUE(south) << south.error().text();
  EXPECT_NEAR(*south->lamps[0].cct_K, 4103, 0.5);  // CIE 15:2018: LED-B3
  const auto unnamed = viewing({{path}, 10}, {}, {});
  ASSERT_FALSE(unnamed);
  EXPECT_TRUE(holds(unnamed.error().text(), "holds 2 lamps: 'north' and 'south'"))
      << unnamed.error().text();
  EXPECT_TRUE(viewing({{path + "#south"}, 10}, {}, {}));
  EXPECT_FALSE(lamp({{path + "#east"}}, {}));
  EXPECT_FALSE(lamp({{scratch.file("none.csv")}}, {}));
  EXPECT_EQ(lamp({{"D65"}}, {})->lamps[0].name, "D65");
}

TEST(LampVerb, AFolderStandsForItsLamps) {
  const Scratch scratch;
  const std::string folder = scratch.file("halls");
  std::filesystem::create_directory(folder);
  EXPECT_FALSE(lamp({{folder}}, {})) << "an empty folder";
  write_contents(folder + "/photograph.jpg", "no lamp");
  const auto none = lamp({{folder}}, {});
  ASSERT_FALSE(none);
  EXPECT_TRUE(holds(none.error().text(), "photograph.jpg")) << none.error().text();
  write_contents(folder + "/east.csv", lamp_file("LED-B2"));
  write_contents(folder + "/west.csv", lamp_file("A"));
  const auto answer = lamp({{folder, "D65"}}, {});
  ASSERT_TRUE(answer) << answer.error().text();
  ASSERT_EQ(answer->lamps.size(), 3u);
  EXPECT_EQ(answer->lamps[0].name, "east");
  EXPECT_EQ(answer->lamps[1].name, "west");
  ASSERT_EQ(answer->lamps[0].warnings.size(), 1u);
  EXPECT_TRUE(holds(answer->lamps[0].warnings[0], "left out")) << answer->lamps[0].warnings[0];
  const auto seen = viewing({{"D65", folder}, 10}, {}, {});
  ASSERT_TRUE(seen) << seen.error().text();
  ASSERT_EQ(seen->lights.size(), 3u);
  EXPECT_EQ(seen->lights[2].name, "west");
  EXPECT_EQ(seen->warnings.size(), 1u);
  // One light a file: which of two lamps is meant must be said.
  write_contents(folder + "/two.csv", two_lamps());
  EXPECT_EQ(lamp({{folder}}, {})->lamps.size(), 4u);
  EXPECT_EQ(viewing({{folder}, 10}, {}, {})->warnings.size(), 2u);
}

TEST(LampVerb, ARecordKeepsALampAsItWasRead) {
  const Scratch scratch;
  const std::string record = scratch.file("lab.record"), path = scratch.file("meter.txt");
  write_contents(path, two_lamps());
  ASSERT_TRUE(new_record(record));
  KeepRequest request;
  request.record = record;
  request.entry = record::entry();
  request.kind = "lamp";
  request.columns = {{"name", "hall"}, {"power", path + "#north"}};
  const auto kept = record_keep(request);
  ASSERT_TRUE(kept) << kept.error().text();
  const auto answer = lamp({{"hall"}}, record);
  ASSERT_TRUE(answer) << answer.error().text();
  EXPECT_NEAR(*answer->lamps[0].cct_K, 2733, 0.5);  // CIE 15:2018: LED-B1
  EXPECT_EQ(answer->lamps[0].power.size(), 81u);
}

TEST(Folders, StandForTheFilesInThemAndEachReadingCountsOnce) {
  const Scratch scratch;
  const std::string folder = scratch.file("readings");
  std::filesystem::create_directory(folder);
  const std::vector<Reading> some{paper("margin"), paper("sea", 0.01)}, more{paper("rim", 0.02)};
  write_contents(folder + "/a.csv", readings_to_csv(some));
  write_contents(folder + "/b.txt", readings_to_cgats(some));
  write_contents(folder + "/c.csv", readings_to_csv(more));
  write_contents(folder + "/notes.txt", "a letter to nobody\n");
  write_contents(folder + "/.hidden.csv", readings_to_csv(more));
  const auto file = load({{folder}, {}}, InputPlace());
  ASSERT_TRUE(file) << file.error().text();
  ASSERT_EQ(file->readings.size(), 3u);
  EXPECT_EQ(file->readings[2].name, "rim");
  EXPECT_TRUE(warns(*file, "2 readings stand in " + folder + "/a.csv too"));
  EXPECT_TRUE(warns(*file, "left out: expected a heading line"));
  // A file that is named is refused where it cannot be read, and two equal rows of one file are
  // two.
  EXPECT_FALSE(load({{folder + "/notes.txt"}, {}}, InputPlace()));
  const std::string twice = scratch.file("twice.csv");
  write_contents(twice, readings_to_csv(std::vector{paper("margin"), paper("margin")}));
  EXPECT_EQ(load({{twice}, {}}, InputPlace())->readings.size(), 2u);
  EXPECT_EQ(load({{twice, twice}, {}}, InputPlace())->readings.size(), 2u);
  std::filesystem::create_directory(scratch.file("empty"));
  EXPECT_FALSE(load({{scratch.file("empty")}, {}}, InputPlace()));
  // What a result was computed from can be computed again without the folder.
  InputPlace noting;
  noting.noted = std::make_shared<Inputs>();
  EXPECT_TRUE(load({{folder}, {}}, noting));
  std::filesystem::remove_all(folder);
  InputPlace kept;
  kept.only = noting.noted;
  EXPECT_EQ(load({{folder}, {}}, kept)->readings.size(), 3u);
}

std::string values_of(double first) {
  std::string line;
  for (int i = 0; i < 31; ++i) line += (i > 0 ? "\t" : "") + fixed(first + 0.01 * i, 4);
  return line + "\n";
}

TEST(BareValues, AreReadKeptAndComputedAgain) {
  const Scratch scratch;
  const std::string path = scratch.file("values.txt"), record = scratch.file("lab.record");
  write_contents(path, values_of(0.3) + values_of(0.31));
  results::Sources sources{{path}, Scale::fraction};
  EXPECT_FALSE(load(sources, InputPlace()));
  sources.wavelengths = "400-700:10";
  const auto file = load(sources, InputPlace());
  ASSERT_TRUE(file) << file.error().text();
  EXPECT_EQ(file->readings[1].spectrum->grid, WavelengthGrid::equal_steps(400, 10, 31));
  sources.wavelengths = "wide";
  EXPECT_FALSE(load(sources, InputPlace()));
  ASSERT_TRUE(new_record(record));
  ImportRequest request;
  request.record = record;
  request.entry = record::entry();
  request.files = {path};
  request.scale = Scale::fraction;
  request.wavelengths = *stated_bands("400-700:10");
  const auto imported = record_import(request);
  ASSERT_TRUE(imported) << imported.error().text();
  EXPECT_EQ(imported->files[0].readings, 2u);
  const auto again = recheck({record});
  ASSERT_TRUE(again) << again.error().text();
  EXPECT_TRUE(again->disagreements.empty());
}

TEST(Spreadsheets, GoInWhereverReadingsDo) {
  const Scratch scratch;
  const std::string path = scratch.file("chart.xlsx");
  std::string rows = "<row><c t=\"inlineStr\"><is><t>name</t></is></c>";
  for (int nm = 400; nm <= 700; nm += 10) rows += "<c><v>" + std::to_string(nm) + "</v></c>";
  rows += "</row><row><c t=\"inlineStr\"><is><t>margin</t></is></c>";
  for (int i = 0; i < 31; ++i) rows += "<c><v>" + fixed(0.3 + 0.01 * i, 4) + "</v></c>";
  write_contents(path,
                 formats_test::zip_of(formats_test::xlsx_parts({{"Chart", rows + "</row>"}})));
  const auto answer = tone({{{path}, Scale::fraction}, {}}, {});
  ASSERT_TRUE(answer) << answer.error().text();
  EXPECT_EQ(answer->tones[0].name, "margin");
}

// CGATS.17: what `tone --format cgats` prints is the readings, with their conditions.
TEST(ToneVerb, WritesReadingsForOtherPrograms) {
  const Scratch scratch;
  const std::string path = scratch.file("chart.csv");
  const std::vector<Reading> readings{paper("margin"), paper("sea", 0.01)};
  write_contents(path, readings_to_csv(readings));
  const Verb* verb = find_verb("tone");
  ASSERT_TRUE(verb && verb->readings);
  results::ToneRequest request;
  request.sources.files = {path};
  const auto written = verb->readings(results::value_of(request), {});
  ASSERT_TRUE(written) << written.error().text();
  const std::string text = readings_to_cgats(*written);
  EXPECT_TRUE(holds(text, "MEASUREMENT_GEOMETRY\t\"45/0\""));
  const auto back = read_readings(text, "x");
  ASSERT_TRUE(back);
  ASSERT_EQ(back->readings.size(), 2u);
  EXPECT_EQ(back->readings[1].condition, Condition::m2);
  EXPECT_EQ(back->readings[1].spectrum->value, readings[1].spectrum->value);
}

TEST(ToneVerb, AsSheetsHasUnitsInItsHeadsAndSaysUnderWhatLight) {
  const auto seen = viewing({{"D65", "A"}, 10}, {}, {});
  const auto answer = tone_of({{paper("margin")}, {}}, *seen, false);
  ASSERT_TRUE(answer);
  const std::string sheets =
      results::to_sheets(results::type_of<ToneAnswer>(), &*answer, "mendtone x");
  EXPECT_TRUE(holds(sheets, "\x1etone\nname\tlight\tobserver [degrees]\tX")) << sheets;
  EXPECT_TRUE(holds(sheets, "spread_de00 [DeltaE00]")) << sheets;
  EXPECT_TRUE(holds(sheets, "About\nwhat\tvalue\tmore\nprogram\tmendtone x\t\nlight\tD65\t"));
  EXPECT_TRUE(holds(sheets, "further light\tA\t"));
  EXPECT_TRUE(holds(sheets, "observer\t10\tdegrees\n"));
}

}  // namespace
}  // namespace mendtone::app::files_test
