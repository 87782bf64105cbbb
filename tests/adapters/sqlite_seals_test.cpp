#include <gtest/gtest.h>
#include <sqlite3.h>

#include <cstdio>

#include "mendtone/adapters/record_seals.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "record_samples.hpp"
#include "scratch.hpp"

namespace mendtone::sqlite_seals_test {
namespace {

using namespace record;
using Verdict = SealReport::Known::Verdict;

Entry at(int minute, std::string why = {}) {
  Entry made = entry(std::move(why));
  made.when = "2026-03-14T09:" + std::to_string(10 + minute) + ":00Z";
  return made;
}

/// Entries 1 to 5: a sheet, its correction, a reading, a note, another note.
void enter_five(const std::string& path) {
  auto store = open_record(path, Opening::create_if_missing);
  ASSERT_TRUE(store) << store.error().text();
  const Id sheet = *add(**store, chart(), at(1));
  Sheet better = chart();
  better.width_mm = 613;
  ASSERT_TRUE(correct(**store, sheet, better, at(2, "measured again")));
  ASSERT_TRUE(add(**store, margin(1), at(3)));
  for (int i = 0; i < 2; ++i) {
    Note note;
    note.text = "seen by raking light";
    note.sheet = sheet;
    ASSERT_TRUE(add(**store, note, at(4 + i)));
  }
}

Head head_of(const std::string& path) {
  auto store = open_record(path, Opening::must_exist);
  EXPECT_TRUE(store) << store.error().text();
  return *(*store)->head();
}

/// What somebody else does with SQLite's own tools: drops the guards of a table, changes, and puts
/// them back, so that nothing in the schema shows it.
void tamper(const std::string& path, const std::string& table, const std::string& change) {
  sqlite3* raw = nullptr;
  ASSERT_EQ(sqlite3_open(path.c_str(), &raw), SQLITE_OK);
  std::string drop, again;
  const std::string sql =
      "SELECT name, sql FROM sqlite_schema WHERE type = 'trigger' AND "
      "tbl_name = '" +
      table + "'";
  std::pair<std::string*, std::string*> to{&drop, &again};
  sqlite3_exec(
      raw, sql.c_str(),
      [](void* both, int, char** cells, char**) {
        auto& [first, second] = *static_cast<std::pair<std::string*, std::string*>*>(both);
        *first += std::string("DROP TRIGGER ") + cells[0] + ";";
        *second += std::string(cells[1]) + ";";
        return 0;
      },
      &to, nullptr);
  EXPECT_FALSE(drop.empty()) << table;
  for (const std::string& step : {drop, change, again})
    EXPECT_EQ(sqlite3_exec(raw, step.c_str(), nullptr, nullptr, nullptr), SQLITE_OK)
        << sqlite3_errmsg(raw);
  sqlite3_close(raw);
}

SealReport report_of(const std::string& path, const std::vector<Head>& known = {}) {
  auto report = check_seals(path, known);
  EXPECT_TRUE(report) << report.error().text();
  return report ? *report : SealReport();
}

TEST(Seals, AnUntouchedRecordHoldsTogether) {
  const Scratch scratch;
  const std::string path = scratch.file("lab.record");
  enter_five(path);
  const Head head = head_of(path);
  EXPECT_EQ(head.entry, 5);
  EXPECT_EQ(head.at, "2026-03-14T09:15:00Z");
  const SealReport report = report_of(path, {head});
  EXPECT_EQ(report.entries, 5);
  EXPECT_EQ(report.as_found, 0);
  EXPECT_EQ(report.breaks, std::vector<std::string>());
  EXPECT_EQ(report.head, head);
  EXPECT_EQ(report.known.front().verdict, Verdict::fits);
}

/// Two records of the same entries have different heads: each carries a number of its own.
TEST(Seals, BelongToOneRecord) {
  const Scratch scratch;
  enter_five(scratch.file("one.record"));
  enter_five(scratch.file("other.record"));
  EXPECT_NE(head_of(scratch.file("one.record")).seal, head_of(scratch.file("other.record")).seal);
}

/// With the guards dropped and put back, each of these passed unseen before there were seals.
TEST(Seals, EveryChangeOfThePastShowsAndWhere) {
  struct Change {
    const char *table, *sql, *entry;
  };
  for (const Change& change :
       {Change{"entry", "UPDATE entry SET who = 'B. Other' WHERE row = 1", "entry 1 "},
        {"entry", "UPDATE entry SET at = '2020-01-01T00:00:00Z' WHERE row = 2", "entry 2 "},
        {"entry", "UPDATE entry SET why = 'no reason' WHERE row = 2", "entry 2 "},
        {"sheet", "UPDATE sheet SET width_mm = 614 WHERE row = 2", "entry 2 "},
        {"sheet", "UPDATE sheet SET media = 'ink' WHERE row = 1", "entry 1 "},
        {"reading", "UPDATE reading SET stage = 'after' WHERE row = 1", "entry 3 "},
        {"note", "DELETE FROM note WHERE row = 1", "entry 4 "},
        {"note", "INSERT INTO note (row, id, entry, text) VALUES (9, 9, 4, 'slipped in')",
         "entry 4 "},
        {"note", "UPDATE note SET entry = 5 WHERE row = 1", "entry 4 "}}) {
    const Scratch scratch;
    const std::string path = scratch.file("lab.record");
    enter_five(path);
    const Head head = head_of(path);
    tamper(path, change.table, change.sql);
    const SealReport report = report_of(path, {head});
    ASSERT_EQ(report.breaks.size(), 1u) << change.sql;
    EXPECT_EQ(report.breaks.front().compare(0, 8, change.entry), 0) << report.breaks.front();
    EXPECT_EQ(*check_record_file(path), std::vector<std::string>()) << "SQLite sees nothing";
  }
}

TEST(Seals, AnEntryTakenOutShows) {
  const Scratch scratch;
  const std::string path = scratch.file("lab.record");
  enter_five(path);
  tamper(path, "note", "DELETE FROM note WHERE row = 1");
  tamper(path, "entry", "DELETE FROM entry WHERE row = 4");
  const SealReport report = report_of(path);
  ASSERT_FALSE(report.breaks.empty());
  EXPECT_EQ(report.breaks.front(), "entry 4 was taken out");
}

/// The chain has no secret: who changes the last entry, or makes all seals anew, is found out only
/// by a head that is known from elsewhere.
TEST(Seals, AChangeAtTheEndShowsAgainstAKnownHead) {
  const Scratch scratch;
  const std::string path = scratch.file("lab.record");
  enter_five(path);
  const Head head = head_of(path);
  tamper(path, "note", "UPDATE note SET text = 'never seen' WHERE row = 2");
  const SealReport report = report_of(path, {head});
  EXPECT_TRUE(report.breaks.empty());
  EXPECT_EQ(report.known.front().verdict, Verdict::changed);
}

TEST(Seals, AnOlderBackupIsToldFromAChange) {
  const Scratch scratch;
  const std::string path = scratch.file("lab.record"), backup = scratch.file("backup.record");
  enter_five(path);
  const Head early = *back_up_record(path, backup);
  {
    auto store = open_record(path, Opening::must_exist);
    ASSERT_TRUE(add(**store, margin(2), at(6)));
  }
  const Head late = head_of(path);
  EXPECT_EQ(report_of(path, {early, late}).known.front().verdict, Verdict::fits)
      << "the record went on";
  EXPECT_EQ(report_of(backup, {late}).known.front().verdict, Verdict::older);
  {
    auto store = open_record(backup, Opening::must_exist);
    ASSERT_TRUE(add(**store, margin(3), at(8)));
  }
  const SealReport went_on = report_of(backup, {early, late});
  EXPECT_EQ(went_on.known[0].verdict, Verdict::fits);
  EXPECT_EQ(went_on.known[1].verdict, Verdict::goes_on_elsewhere);
  EXPECT_TRUE(went_on.breaks.empty());
}

TEST(Seals, AHeadIsTypedAsItIsPrinted) {
  const Head head{128, "2026-11-27T12:05:01Z", std::string(64, 'a')};
  EXPECT_EQ(*head_from(text_of(head)), head);
  EXPECT_TRUE(head_from("128/2026-11-27T12:05:01Z/" + std::string(16, 'a'))) << "shortened";
  for (const char* wrong : {"", "128", "128/x", "x/2026-11-27T12:05:01Z/aaaaaaaaaaaaaaaa",
                            "1/2026-11-27T12:05:01Z/aaaa", "1/t/gggggggggggggggg"})
    EXPECT_FALSE(head_from(wrong)) << wrong;
}

/// The text that is hashed, put together here from SQLite's own answers and hashed by coreutils, as
/// DEVELOPERS.md describes it.
TEST(Seals, AreWhatTheDescriptionSays) {
  const Scratch scratch;
  const std::string path = scratch.file("lab.record");
  {
    auto store = open_record(path, Opening::create_if_missing);
    Note note;
    note.text = "seen by raking light";
    ASSERT_TRUE(add(**store, note, at(1)));
    ASSERT_TRUE(add(**store, note, at(2, "again")));
  }
  sqlite3* raw = nullptr;
  ASSERT_EQ(sqlite3_open(path.c_str(), &raw), SQLITE_OK);
  const auto asked = [&](const char* sql) {
    std::string text;
    sqlite3_exec(
        raw, sql,
        [](void* to, int, char** cells, char**) {
          *static_cast<std::string*>(to) = cells[0];
          return 0;
        },
        &text, nullptr);
    return text;
  };
  const std::string first = asked("SELECT seal FROM entry WHERE row = 1");
  const std::string second = asked("SELECT seal FROM entry WHERE row = 2");
  const std::string id = asked("SELECT id FROM origin");
  sqlite3_close(raw);
  const auto hashed = [&](const std::string& text) {
    write_contents(scratch.file("text"), text);
    std::FILE* pipe = ::popen(("sha256sum < " + scratch.file("text")).c_str(), "r");
    char digits[65] = {};
    EXPECT_EQ(std::fread(digits, 1, 64, pipe), 64u);
    ::pclose(pipe);
    return std::string(digits);
  };
  EXPECT_EQ(first, hashed("mendtone record " + id + "\n"));
  EXPECT_EQ(second,
            hashed(first + "\n"
                           "entry\nat 20 2026-03-14T09:11:00Z\nprogram 13 mendtone test\nrow 1 1\n"
                           "who 14 A. Conservator\nwhy 0 \n"
                           "note\nid 1 1\nrow 1 1\ntext 20 seen by raking light\nwithdrawn 1 0\n"));
}

}  // namespace
}  // namespace mendtone::sqlite_seals_test
