#include <gtest/gtest.h>

#include <filesystem>

#include "adapters/scratch.hpp"
#include "cli/typed.hpp"
#include "mendtone/app/verb.hpp"
#include "mendtone/results/options.hpp"

// No option that writes replaces what the same command reads, by whatever name, nor any file that
// is there without --force. The options are found by their description, so a new one is tried too.
namespace mendtone::cli::outputs_test {
namespace {

namespace fs = std::filesystem;
using Words = std::vector<std::string>;

constexpr const char* readings = "name,light,observer,L*,a*,b*\nmargin,D65,10,86,2,14\n";

struct Writes {
  std::string verb, option;
};

std::vector<Writes> every_option_that_writes() {
  std::vector<Writes> all;
  for (const app::Verb& verb : app::verbs())
    for (const results::Option& option : results::options_of(*verb.request))
      if (option.writes) all.push_back({std::string(verb.name), option.name});
  return all;
}

class Outputs : public ::testing::Test {
 protected:
  Outputs() {
    write_contents(path("in.csv"), readings);
    fs::create_hard_link(path("in.csv"), path("hard.csv"));
    fs::create_symlink(path("in.csv"), path("soft.csv"));
    fs::create_directory(path("below"));
    write_contents(path("other.csv"), "kept\n");
  }
  std::string path(const std::string& name) const { return scratch_.file(name); }

  /// The verb with whatever it cannot do without, each text naming the input.
  Words command(const std::string& name) const {
    Words words;
    const auto dash = name.find('-');
    words.push_back(name.substr(0, dash));
    if (dash != std::string::npos) words.push_back(name.substr(dash + 1));
    for (const results::Option& option : results::options_of(*app::find_verb(name)->request)) {
      if (!option.required || option.writes) continue;
      if (option.name.front() == '-') words.push_back(option.name);
      words.push_back(path("in.csv"));
    }
    return words;
  }
  /// What is typed so that `file` is written: of maps, the name before "-de00.png".
  Typed write_over(const Writes& one, const std::string& file, bool force) {
    std::string text = file;
    if (one.option == "--maps") {
      text = path("map");
      const std::string map = text + "-de00.png";
      fs::remove(map);
      if (fs::is_symlink(file))
        fs::create_symlink(fs::read_symlink(file), map);
      else
        fs::create_hard_link(file, map);
    }
    Words words = command(one.verb);
    words.insert(words.end(), {one.option, text});
    if (one.verb == "image-preview" && one.option == "--strip")
      words.insert(words.end(), {"--out", path("new.png")});
    if (force) words.push_back("--force");
    return typed(words);
  }

  Scratch scratch_;
};

TEST_F(Outputs, SixOptionsWrite) {
  EXPECT_GE(every_option_that_writes().size(), 6u);
}

TEST_F(Outputs, WhatIsThereStaysUnlessForced) {
  for (const Writes& one : every_option_that_writes()) {
    const Typed answer = write_over(one, path("other.csv"), false);
    EXPECT_EQ(answer.exit, bad_command) << one.verb << one.option;
    EXPECT_NE(answer.said.find("already"), std::string::npos) << answer.said;
    EXPECT_EQ(contents(path("other.csv")), "kept\n");
  }
}

TEST_F(Outputs, WhatIsReadIsNeverReplacedByWhateverName) {
  for (const Writes& one : every_option_that_writes())
    for (const char* name : {"in.csv", "hard.csv", "soft.csv", "below/../in.csv"}) {
      const Typed answer = write_over(one, path(name), true);
      EXPECT_EQ(answer.exit, bad_command) << one.verb << one.option << ' ' << name;
      EXPECT_NE(answer.said.find("reads this file"), std::string::npos) << answer.said;
      EXPECT_EQ(contents(path("in.csv")), readings);
    }
}

TEST_F(Outputs, ReportsLeaveWhatIsThere) {
  fs::create_directory(path("report"));
  write_contents(path("report/report.csv"), "kept\n");
  const Words words{"report", "--readings", "before=" + path("in.csv"), "--out", path("report")};
  const Typed refused = typed(words);
  EXPECT_EQ(refused.exit, bad_command);
  EXPECT_EQ(contents(path("report/report.csv")), "kept\n");
  EXPECT_FALSE(fs::exists(path("report/report.html"))) << "nothing half-written";
  Words forced = words;
  forced.push_back("--force");
  EXPECT_EQ(typed(forced).exit, done);
  // A report may not swallow the readings that it is made from.
  fs::remove(path("report/report.csv"));
  fs::create_hard_link(path("in.csv"), path("report/report.csv"));
  EXPECT_EQ(typed(forced).exit, bad_command);
  EXPECT_EQ(contents(path("in.csv")), readings);
}

TEST_F(Outputs, AChoiceThatNamesNoFillIsSaid) {
  const Typed answer = typed({"report", "--readings", "before=" + path("in.csv"), "--out",
                              path("report"), "--choose", "kozo"});
  EXPECT_EQ(answer.exit, bad_command);
  EXPECT_NE(answer.said.find("--choose kozo"), std::string::npos) << answer.said;
  EXPECT_FALSE(fs::exists(path("report")));
}

/// The answer is hers even where it could not be kept; a record that is not there is said first.
TEST_F(Outputs, AnAnswerThatCannotBeKeptIsStillPrinted) {
  const std::string record = path("lab.record");
  EXPECT_EQ(typed({"tone", path("in.csv"), "--record", record, "--by", "K"}).exit, world_failed);
  EXPECT_FALSE(fs::exists(record)) << "only 'record new' makes one";
  ASSERT_EQ(typed({"record", "new", record}).exit, done);
  const Typed wrong_sheet =
      typed({"tone", path("in.csv"), "--record", record, "--by", "K", "--sheet", "chart"});
  EXPECT_EQ(wrong_sheet.exit, bad_data);
  EXPECT_TRUE(wrong_sheet.out.empty());
  const Typed kept =
      typed({"tone", path("in.csv"), "--record", record, "--by", "K", "--keep-as", "first"});
  EXPECT_EQ(kept.exit, done);
  EXPECT_NE(kept.said.find("kept in " + record + " as 'first'"), std::string::npos) << kept.said;
  const Typed twice =
      typed({"tone", path("in.csv"), "--record", record, "--by", " ", "--keep-as", "second"});
  EXPECT_NE(twice.out.find("margin"), std::string::npos);
}

}  // namespace
}  // namespace mendtone::cli::outputs_test
