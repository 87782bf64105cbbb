#include "mendtone/record/gate.hpp"

#include <gtest/gtest.h>

#include <algorithm>

// What is owed rests on reference-data/cautions.csv, line by line; the sheet is invented.
namespace mendtone::record::gate_test {
namespace {

template <class T>
Kept<T> kept(Id id, T value, const std::string& when = "2026-03-01T09:00:00Z") {
  Kept<T> one;
  one.id = one.row = id;
  one.entry.when = when;
  one.value = std::move(value);
  return one;
}

/// A log with a gap, of which everything is stated.
WholeSheet log_with(const std::string& media) {
  WholeSheet whole;
  Sheet sheet;
  sheet.name = "log";
  sheet.media = media;
  sheet.stamps = sheet.sizing = "none";
  whole.sheet = kept(1, sheet);
  Loss loss;
  loss.sheet = 1;
  loss.name = "gap";
  loss.nature = "loss";
  whole.losses.push_back(kept(2, loss));
  return whole;
}

const GateItem* find(const std::vector<GateItem>& gate, const std::string& name) {
  const auto found = std::find_if(gate.begin(), gate.end(),
                                  [&](const GateItem& item) { return item.name == name; });
  return found == gate.end() ? nullptr : &*found;
}

std::string standing(const std::vector<GateItem>& gate, const std::string& name) {
  const GateItem* item = find(gate, name);
  return item == nullptr ? "not there" : item->standing;
}

KeptReading reading(const std::string& stage) {
  KeptReading one;
  one.reading.name = "gap";
  one.sheet = 1;
  one.loss = 2;
  one.stage = stage;
  return one;
}

Step step(const std::string& name, const std::string& standing, const std::string& reason) {
  Step one;
  one.sheet = 1;
  one.name = name;
  one.standing = standing;
  one.reason = reason;
  return one;
}

TEST(Gate, WhatNobodyStatedIsOwed) {
  WholeSheet whole = log_with("");
  whole.sheet.value.stamps.clear();
  whole.sheet.value.sizing.clear();
  const auto gate = gate_of(whole);
  EXPECT_EQ(standing(gate, "state the media"), "owed");
  EXPECT_EQ(standing(gate, "state the stamps and inscriptions"), "owed");
  EXPECT_EQ(standing(gate, "state the sizing"), "owed");
  EXPECT_TRUE(is_shut(gate));
  EXPECT_TRUE(gate_of(log_with("none")).empty());
  EXPECT_FALSE(is_shut(gate_of(log_with("none"))));
}

TEST(Gate, EachMediumIsOwedASpotTestUntilItIsDecided) {
  WholeSheet whole = log_with("watercolour, lithographic ink");
  EXPECT_EQ(standing(gate_of(whole), "spot test of watercolour with water"), "owed");
  EXPECT_EQ(standing(gate_of(whole), "spot test of lithographic ink with water"), "owed");
  SpotTest test;
  test.sheet = 1;
  test.tested = "watercolour";
  test.liquid = "deionised water";
  test.outcome = "unsure";
  whole.spot_tests.push_back(kept(5, test));
  EXPECT_EQ(standing(gate_of(whole), "spot test of watercolour with water"), "owed");
  whole.spot_tests.back().value.outcome = "unchanged";
  EXPECT_EQ(standing(gate_of(whole), "spot test of watercolour with water"), "not there");
  whole.spot_tests.back().value.outcome = "changed";
  EXPECT_EQ(standing(gate_of(whole), "spot test of watercolour with deionised water"), "barred");
}

TEST(Gate, IronGallInkBarsPasteAndIsOwedTestPaperNotAnEye) {
  WholeSheet whole = log_with("iron-gall ink");
  SpotTest test;
  test.sheet = 1;
  test.tested = "iron-gall ink";
  test.liquid = "water";
  test.outcome = "unchanged";
  whole.spot_tests.push_back(kept(5, test));
  EXPECT_EQ(standing(gate_of(whole), "wet paste beside iron-gall ink"), "barred");
  EXPECT_EQ(standing(gate_of(whole), "iron(II) test of iron-gall ink"), "owed");
  whole.spot_tests.back().value.liquid = "iron(II) test paper";
  EXPECT_EQ(standing(gate_of(whole), "iron(II) test of iron-gall ink"), "not there");
  // A remoistenable tissue is not barred.
  Fill fill;
  fill.loss = 2;
  fill.name = "fill";
  fill.verdict = "chosen";
  fill.adhesive = "remoistenable tissue with gelatine";
  whole.fills.push_back(kept(6, fill));
  EXPECT_EQ(standing(gate_of(whole), "wet paste beside iron-gall ink"), "not there");
}

TEST(Gate, AReasonLiftsABarAndLeavesAnItemOpen) {
  WholeSheet whole = log_with("iron-gall ink");
  whole.steps.push_back(
      kept(7, step("Wet paste beside iron-gall ink", "allowed", "the ink is far away")));
  whole.steps.push_back(
      kept(8, step("iron(II) test of iron-gall ink", "left open", "no paper at hand")));
  whole.steps.push_back(kept(9, step("ask the curator", "owed", "")));
  const auto gate = gate_of(whole);
  EXPECT_EQ(standing(gate, "wet paste beside iron-gall ink"), "allowed");
  EXPECT_EQ(find(gate, "wet paste beside iron-gall ink")->why, "the ink is far away");
  EXPECT_EQ(standing(gate, "iron(II) test of iron-gall ink"), "left open");
  EXPECT_EQ(standing(gate, "ask the curator"), "owed");
  EXPECT_EQ(gate.front().name, "ask the curator");
  EXPECT_TRUE(is_shut(gate));
  whole.steps.back().value.standing = "done";
  EXPECT_FALSE(is_shut(gate_of(whole)));
}

TEST(Gate, AfterABathTheLossIsReadAgainAndOldResultsAreStale) {
  WholeSheet whole = log_with("none");
  whole.readings.push_back(kept(3, reading("before")));
  Computation wash;
  wash.name = "wash for gap";
  wash.verb = "wash";
  wash.loss = 2;
  whole.computations.push_back(kept(4, wash, "2026-03-02T09:00:00Z"));
  EXPECT_TRUE(gate_of(whole).empty());
  Bath bath;
  bath.sheet = 1;
  bath.number = 1;
  whole.baths.push_back(kept(10, bath, "2026-03-03T09:00:00Z"));
  auto gate = gate_of(whole);
  EXPECT_EQ(standing(gate, "reading after bath 1"), "owed");
  EXPECT_EQ(find(gate, "reading after bath 1")->loss, "gap");
  EXPECT_EQ(standing(gate, "wash for gap"), "stale");
  whole.readings.push_back(kept(11, reading("bath 1"), "2026-03-04T09:00:00Z"));
  whole.computations.back().entry.when = "2026-03-04T10:00:00Z";
  gate = gate_of(whole);
  EXPECT_EQ(standing(gate, "reading after bath 1"), "not there");
  EXPECT_EQ(standing(gate, "wash for gap"), "not there");
}

TEST(Gate, AChosenFillIsOwedADryTrialAndAPastedOffcut) {
  WholeSheet whole = log_with("none");
  Fill fill;
  fill.loss = 2;
  fill.name = "toned kozo";
  fill.tissue = 20;
  fill.recipe = 21;
  fill.verdict = "chosen";
  fill.adhesive = "wheat-starch paste";
  whole.fills.push_back(kept(6, fill));
  EXPECT_EQ(standing(gate_of(whole), "dry trial of toned kozo"), "owed");
  EXPECT_EQ(standing(gate_of(whole), "pasted offcut of toned kozo"), "owed");
  Trial trial;
  trial.recipe = 21;
  whole.trials.push_back(kept(22, trial));
  EXPECT_EQ(standing(gate_of(whole), "dry trial of toned kozo"), "owed");
  KeptReading read = reading("");
  read.loss.reset();
  read.trial = 22;
  whole.trial_readings.push_back(kept(23, read));
  EXPECT_EQ(standing(gate_of(whole), "dry trial of toned kozo"), "not there");
  Offcut offcut;
  offcut.tissue = 20;
  offcut.adhesive = "Wheat-starch paste";
  whole.offcuts.push_back(kept(24, offcut));
  EXPECT_EQ(standing(gate_of(whole), "pasted offcut of toned kozo"), "not there");
  // What is held without adhesive is not pasted, in whatever words that is said.
  whole.offcuts.clear();
  for (const char* none : {"no adhesive", "without paste", "no choice is recorded of the maker"}) {
    whole.fills.back().value.adhesive = none;
    EXPECT_EQ(standing(gate_of(whole), "pasted offcut of toned kozo"), "not there") << none;
  }
  // What has ended owes nothing.
  whole.losses.back().value.ended = "filled";
  EXPECT_TRUE(gate_of(whole).empty());
}

}  // namespace
}  // namespace mendtone::record::gate_test
