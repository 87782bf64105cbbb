#include <gtest/gtest.h>

#include "adapters/scratch.hpp"
#include "app/examples.hpp"
#include "cli/typed.hpp"

// What lies behind a sheet is asked for once, of a person at a terminal, and kept.
namespace mendtone::cli::ask_test {

using test::example;

TEST(Ask, WhatLiesBehindIsAskedOnceAndKeptWithTheSheet) {
  const Scratch scratch;
  const std::string record = scratch.file("lab.record");
  const auto enter = [&](std::vector<std::string> words) {
    words.insert(words.begin(), "record");
    words.insert(words.end(), {"--record", record, "--by", "K"});
    const Typed kept = typed(words);
    EXPECT_EQ(kept.exit, done) << kept.said;
  };
  EXPECT_EQ(typed({"record", "new", record}).exit, done);
  enter({"sheet", "#1 <sea>"});
  enter({"import", example("backings.csv"), example("drawer.csv"), "--new-tissues"});
  enter({"import", example("chart.cgats"), "--sheet", "#1"});
  const std::vector<std::string> rank{"tissue", "--for",  "#1 <sea>", "--spot",   "loss 1",
                                      "--from", "drawer", "--record", record,     "--by",
                                      "K",      "--top",  "1",        "--trials", "0"};
  const Typed alone = typed(rank);
  EXPECT_EQ(alone.exit, bad_command) << "nobody to ask: " << alone.said;
  const Typed silent = typed(rank, "\n");
  EXPECT_EQ(silent.exit, bad_command) << silent.said;
  EXPECT_NE(silent.said.find("mount board"), std::string::npos) << silent.said;
  const Typed told = typed(rank, "the wall\nmount board\n");
  EXPECT_TRUE(told.exit == done || told.exit == no_answer) << told.said;
  EXPECT_NE(told.said.find("There is no 'the wall' among them"), std::string::npos) << told.said;
  EXPECT_NE(told.said.find("kept with the sheet '#1 <sea>'"), std::string::npos) << told.said;
  EXPECT_NE(told.out.find("'mount board'"), std::string::npos) << told.out;
  const Typed again = typed(rank, "");
  EXPECT_EQ(again.exit, told.exit) << again.said;
  EXPECT_EQ(again.said.find("What lies behind"), std::string::npos) << "asked once: " << again.said;
  const Typed shown = typed({"record", "show", "#1 <sea>", "--record", record, "--format", "json"});
  EXPECT_NE(shown.out.find("mount board"), std::string::npos) << shown.out << shown.said;
}

}  // namespace mendtone::cli::ask_test
