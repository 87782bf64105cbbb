#include <gtest/gtest.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdlib>

#include "adapters/record_samples.hpp"
#include "adapters/scratch.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/app/record/keep.hpp"
#include "mendtone/app/record/recheck.hpp"
#include "mendtone/app/record/record.hpp"
#include "mendtone/app/tone/tone.hpp"
#include "mendtone/base/random.hpp"

namespace mendtone::app::record_kill_test {
namespace {

using record::entry;

/// What the child says when a step has been acknowledged.
struct Acknowledged {
  int sheets = 0, corrections = 0, files = 0, trials = 0, results = 0;
};

std::string csv_of(int round) {
  std::string text = "name,repeat,role,scale,400,450,500,550,600,650,700\n";
  for (int repeat = 0; repeat < 3; ++repeat)
    text += "spot " + std::to_string(round) + "," + std::to_string(repeat) +
            ",target,fraction,0.40,0.48,0.55,0.61,0.66,0.69,0.7" + std::to_string(repeat) + "\n";
  return text;
}

/// Works until it is killed: a sheet, its correction, an import, a trial with its readings, a
/// result; one letter down the pipe after each that was acknowledged.
[[noreturn]] void work(const Scratch& scratch, const std::string& path, int first_round, int pipe) {
  const auto say = [&](char what) {
    if (::write(pipe, &what, 1) != 1) ::_exit(3);
  };
  for (int round = first_round;; ++round) {
    const std::string name = "sheet " + std::to_string(round);
    const std::string file = scratch.file("readings.csv");
    if (!record_keep({path, entry(), "sheet", {{"name", name}}, ""})) ::_exit(4);
    say('s');
    if (!record_keep({path, entry("again"), "sheet", {{"width_mm", "600"}}, name})) ::_exit(5);
    say('c');
    write_contents(file, csv_of(round));
    ImportRequest request;
    request.record = path;
    request.entry = entry();
    request.files = {file};
    request.sheet = name;
    if (!record_import(request)) ::_exit(6);
    say('f');
    const std::string recipe = "recipe " + std::to_string(round);
    if (!record_keep({path, entry(), "recipe", {{"name", recipe}}, ""})) ::_exit(7);
    if (!record_keep({path, entry(), "trial", {{"name", "first"}, {"recipe", recipe}}, ""}))
      ::_exit(8);
    say('t');
    ToneRequest asked;
    asked.sources.files = {name};
    if (!kept(tone, asked, {path, entry(), "", name, ""})) ::_exit(9);
    say('r');
  }
}

void count(char what, Acknowledged& all) {
  all.sheets += what == 's';
  all.corrections += what == 'c';
  all.files += what == 'f';
  all.trials += what == 't';
  all.results += what == 'r';
}

/// When a child is killed: so many acknowledged steps, then so much later. Steps and not time
/// alone, so that a slow machine gets as far as a fast one.
struct Moment {
  std::uint32_t steps = 0, microseconds = 0;
};

/// Lets a child work and kills it; what it had acknowledged is added. False where it ended itself.
bool work_and_kill(const Scratch& scratch, const std::string& path, int first_round, Moment moment,
                   Acknowledged& all) {
  int ends[2];
  if (::pipe(ends) != 0) return false;
  const pid_t child = ::fork();
  if (child == 0) {
    ::close(ends[0]);
    work(scratch, path, first_round, ends[1]);
  }
  ::close(ends[1]);
  char what = 0;
  for (std::uint32_t step = 0; step < moment.steps && ::read(ends[0], &what, 1) == 1; ++step)
    count(what, all);
  ::usleep(moment.microseconds);
  ::kill(child, SIGKILL);
  int status = 0;
  ::waitpid(child, &status, 0);
  while (::read(ends[0], &what, 1) == 1) count(what, all);
  ::close(ends[0]);
  return WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL;
}

/// Not one acknowledged step may be missing; the step that was under way may or may not be there.
void expect_kept(const std::string& path, const Acknowledged& all, int kills) {
  auto store = open_record(path, Opening::must_exist);
  ASSERT_TRUE(store) << store.error().text();
  const auto at_least = [&](const char* kind, int acknowledged) {
    const auto count = *(*store)->count(kind);
    EXPECT_GE(count, acknowledged) << kind;
    EXPECT_LE(count, acknowledged + kills) << kind;
  };
  at_least("sheet", all.sheets);
  at_least("file", all.files);
  at_least("trial", all.trials);
  at_least("computation", all.results);
  EXPECT_EQ(*(*store)->count("reading"), 3 * *(*store)->count("file")) << "an import is whole";
  EXPECT_EQ(*(*store)->count("mean"), *(*store)->count("file"));
  EXPECT_GE(static_cast<int>((*store)->all("sheet")->size()), all.sheets + all.corrections);
}

/// kill -9 at random moments; the moments come from a seeded generator, so that a failure can be
/// sought again (the scheduler adds its own chance).
TEST(RecordKill, NothingAcknowledgedIsLost) {
  const char* wish = std::getenv("MENDTONE_LONG");
  const int kills = wish && std::string(wish) == "1" ? 1000 : 100;
  const Scratch scratch;
  const std::string path = scratch.file("lab.record");
  ASSERT_TRUE(new_record(path));
  CounterRandom random(1894);
  Acknowledged all;
  for (int kill = 0; kill < kills; ++kill) {
    const Moment moment{random.below(8), random.below(20000)};
    ASSERT_TRUE(work_and_kill(scratch, path, kill * 1000, moment, all))
        << "the child ended by itself at kill " << kill;
    const auto faults = check_record_file(path);
    ASSERT_TRUE(faults) << faults.error().text();
    ASSERT_TRUE(faults->empty()) << faults->front();
    if (kill % 20 == 19) expect_kept(path, all, kill + 1);
  }
  expect_kept(path, all, kills);
  EXPECT_GT(all.files, kills / 10) << "the kills came too early to say much";
  const auto checked = recheck({path});
  ASSERT_TRUE(checked);
  EXPECT_TRUE(has_answer(*checked)) << to_text(*checked);
}

/// A killed restoration leaves no record behind that could be taken for a whole one.
/// The command line and the page may both be at work: nothing is lost or refused, and all agrees.
TEST(RecordKill, TwoProgramsAtOnce) {
  const Scratch scratch;
  const std::string path = scratch.file("lab.record");
  ASSERT_TRUE(new_record(path));
  constexpr int rounds = 12;
  const auto enter_rounds = [&](int who) {
    for (int round = 0; round < rounds; ++round) {
      const std::string name = std::to_string(who) + " sheet " + std::to_string(round);
      if (!record_keep({path, entry(), "sheet", {{"name", name}}, ""})) ::_exit(4);
      const std::string file = scratch.file(name + ".csv");
      write_contents(file, csv_of(who * 1000 + round));
      ImportRequest request;
      request.record = path;
      request.entry = entry();
      request.files = {file};
      request.sheet = name;
      if (!record_import(request)) ::_exit(6);
      ToneRequest asked;
      asked.sources.files = {name};
      if (!kept(tone, asked, {path, entry(), "", name, ""})) ::_exit(9);
    }
    ::_exit(0);
  };
  for (int who : {1, 2}) {
    const pid_t child = ::fork();
    ASSERT_GE(child, 0);
    if (child == 0) enter_rounds(who);
  }
  for (int i = 0; i < 2; ++i) {
    int status = 0;
    ASSERT_GT(::wait(&status), 0);
    EXPECT_TRUE(WIFEXITED(status) && WEXITSTATUS(status) == 0) << status;
  }
  auto store = open_record(path, Opening::must_exist);
  ASSERT_TRUE(store);
  EXPECT_EQ(*(*store)->count("sheet"), 2 * rounds);
  EXPECT_EQ(*(*store)->count("reading"), 2 * rounds * 3);
  const auto checked = recheck({path});
  ASSERT_TRUE(checked);
  EXPECT_EQ(checked->results, static_cast<std::size_t>(2 * rounds));
  EXPECT_TRUE(has_answer(*checked)) << to_text(*checked);
}

TEST(RecordKill, ARestorationIsThereWholeOrNotAtAll) {
  const Scratch scratch;
  const std::string path = scratch.file("lab.record"), folder = scratch.file("out");
  ASSERT_TRUE(new_record(path));
  for (int i = 0; i < 30; ++i)
    ASSERT_TRUE(record_keep({path, entry(), "sheet", {{"name", std::to_string(i)}}, ""}));
  ASSERT_TRUE(record_export({path, folder}));
  CounterRandom random(7);
  for (int kill = 0; kill < 20; ++kill) {
    const std::string second = scratch.file("second-" + std::to_string(kill));
    const pid_t child = ::fork();
    if (child == 0) {
      (void)record_restore({folder, second});
      ::_exit(0);
    }
    ::usleep(500 + random.below(30000));
    ::kill(child, SIGKILL);
    int status = 0;
    ::waitpid(child, &status, 0);
    if (!std::filesystem::exists(second)) continue;
    auto store = open_record(second, Opening::must_exist);
    ASSERT_TRUE(store) << store.error().text();
    EXPECT_EQ(*(*store)->count("sheet"), 30);
  }
}

}  // namespace
}  // namespace mendtone::app::record_kill_test
