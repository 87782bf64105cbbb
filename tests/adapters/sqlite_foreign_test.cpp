#include <gtest/gtest.h>
#include <sqlite3.h>

#include <atomic>
#include <thread>

#include "adapters/sqlite_place.hpp"
#include "adapters/sqlite_schema.hpp"
#include "in_child.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "record_samples.hpp"
#include "scratch.hpp"

// Records that were tampered with, moved, exchanged, or lie on a network.
namespace mendtone::sqlite_foreign_test {
namespace {

using namespace record;

std::string made(const Scratch& scratch) {
  const std::string path = scratch.file("lab.record");
  auto store = open_record(path, Opening::create_if_missing);
  EXPECT_TRUE(store) << store.error().text();
  EXPECT_TRUE(add(**store, chart(), entry()));
  return path;
}

void run_foreign_sql(const std::string& path, const std::string& sql) {
  sqlite3* raw = nullptr;
  ASSERT_EQ(sqlite3_open(path.c_str(), &raw), SQLITE_OK);
  EXPECT_EQ(sqlite3_exec(raw, sql.c_str(), nullptr, nullptr, nullptr), SQLITE_OK)
      << sqlite3_errmsg(raw);
  sqlite3_close(raw);
}

/// Opened for reading, with what is odd named; nothing can be kept.
void expect_reading_only(const std::string& path, const std::string& named) {
  auto store = open_record(path, Opening::must_exist);
  ASSERT_TRUE(store) << store.error().text();
  EXPECT_NE((*store)->reading_only().find(named), std::string::npos) << (*store)->reading_only();
  EXPECT_EQ(*(*store)->count("sheet"), 1);
  Note note;
  note.text = "swallowed?";
  const auto refused = add(**store, note, entry());
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().code, ErrorCode::outside_world);
  EXPECT_NE(refused.error().message.find(named), std::string::npos) << refused.error().text();
  EXPECT_FALSE((*store)->keep_bytes("abc"));
  const auto faults = check_record_file(path);
  ASSERT_TRUE(faults) << faults.error().text();
  EXPECT_FALSE(faults->empty());
}

TEST(ForeignParts, OpenForReadingOnlyAndAreNamed) {
  for (const auto& [sql, named] : std::vector<std::pair<std::string, std::string>>{
           {"CREATE TRIGGER swallow BEFORE INSERT ON note BEGIN SELECT RAISE(IGNORE); END",
            "trigger 'swallow' on 'note' is not of mendtone's making"},
           {"CREATE VIEW mine AS SELECT * FROM sheet", "view 'mine'"},
           {"CREATE TABLE mine (x)", "table 'mine'"},
           {"CREATE INDEX mine ON sheet(media)", "index 'mine' on 'sheet'"},
           {"DROP TRIGGER sheet_no_change", "guard 'sheet_no_change' on 'sheet' is missing"},
           {"DROP TRIGGER entry_sealed", "guard 'entry_sealed' on 'entry' is missing"},
           {"DROP TRIGGER note_no_removal; CREATE TRIGGER note_no_removal BEFORE DELETE ON note "
            "BEGIN SELECT 1; END",
            "guard 'note_no_removal' on 'note' was changed"}}) {
    const Scratch scratch;
    const std::string path = made(scratch);
    run_foreign_sql(path, sql);
    expect_reading_only(path, named);
  }
}

/// An old layout with a foreign part is read from a copy in memory; the file stays as it is.
TEST(ForeignParts, InAnOlderLayoutNothingIsStepped) {
  const Scratch scratch;
  const std::string path = scratch.file("old.record");
  run_foreign_sql(path, contents(std::string(MENDTONE_SOURCE_DIR) +
                                 "/tests/adapters/fixtures/record-layout-2.sql"));
  run_foreign_sql(path,
                  "CREATE TRIGGER mine BEFORE INSERT ON note BEGIN SELECT RAISE(IGNORE); END");
  const std::string before = contents(path);
  expect_reading_only(path, "trigger 'mine'");
  EXPECT_EQ(contents(path), before);
  EXPECT_EQ(files_in(scratch.folder()), 1u);
}

/// The hashes by which a sound schema is known at once are those of what the steps make.
TEST(ForeignParts, EachLayoutIsKnownByItsHash) {
  for (int layout = 1; layout <= record_layout(); ++layout)
    EXPECT_EQ(*sqlite::schema_hash(layout), sqlite::known_schema_hash(layout)) << layout;
}

/// Blanks do not matter: another version of SQLite may set them otherwise.
TEST(ForeignParts, WhatOurselvesMadeIsNotForeign) {
  const Scratch scratch;
  const std::string path = made(scratch);
  auto store = open_record(path, Opening::must_exist);
  EXPECT_EQ((*store)->reading_only(), "");
  // SQLite's own statistics are no part of ours, and harmless.
  store->reset();
  run_foreign_sql(path, "ANALYZE");
  store = open_record(path, Opening::must_exist);
  EXPECT_EQ((*store)->reading_only(), "");
}

TEST(HeldRecord, MovedAwayOrExchangedIsRefused) {
  // What is held is held for the life of a process.
  const Scratch scratch;
  const std::string path = made(scratch), aside = scratch.file("aside.record");
  EXPECT_EQ(in_child([&] {
              if (!hold_record(path)) return 10;
              {
                auto store = open_record(path, Opening::must_exist);
                if (!store || !add(**store, margin(1), entry())) return 11;
              }
              std::filesystem::rename(path, aside);
              const auto gone = open_record(path, Opening::must_exist);
              if (gone || gone.error().code != ErrorCode::outside_world) return 13;
              if (gone.error().message.find("moved or removed") == std::string::npos) return 14;
              // Even where a record could be made, none is.
              if (std::filesystem::exists(path)) return 15;
              if (!new_record(path)) return 16;
              const auto other = open_record(path, Opening::must_exist);
              if (other || other.error().message.find("another record") == std::string::npos)
                return 17;
              std::filesystem::remove(path);
              std::filesystem::rename(aside, path);
              return open_record(path, Opening::must_exist) ? 0 : 18;
            }),
            0);
  auto store = open_record(path, Opening::must_exist);
  EXPECT_EQ(*(*store)->count("reading"), 1);
}

/// Moved between two writes of one who has it open: the second is refused, the first stays in the
/// log that was left behind, and comes back with the record.
TEST(HeldRecord, MovedWhileInUseLosesNothing) {
  const Scratch scratch;
  const std::string path = made(scratch), aside = scratch.file("aside.record");
  {
    auto store = open_record(path, Opening::must_exist);
    ASSERT_TRUE(add(**store, margin(1), entry()));
    std::filesystem::rename(path, aside);
    const auto refused = add(**store, margin(2), entry());
    ASSERT_FALSE(refused);
    EXPECT_EQ(refused.error().code, ErrorCode::outside_world);
  }
  const auto made_anew = new_record(path);
  ASSERT_FALSE(made_anew) << "its log would be taken for that of the new one";
  EXPECT_NE(made_anew.error().message.find("log"), std::string::npos);
  std::filesystem::rename(aside, path);
  auto store = open_record(path, Opening::must_exist);
  ASSERT_TRUE(store) << store.error().text();
  EXPECT_EQ(*(*store)->count("reading"), 1);
}

TEST(HeldRecord, AnOlderStatePutInItsPlaceIsRefused) {
  const Scratch scratch;
  const std::string path = made(scratch), backup = scratch.file("backup.record");
  ASSERT_TRUE(back_up_record(path, backup));
  EXPECT_EQ(in_child([&] {
              {
                auto store = open_record(path, Opening::must_exist);
                if (!add(**store, margin(1), entry())) return 10;
              }
              if (!hold_record(path)) return 11;
              // The same file, the same number in it, an older content.
              write_contents(path, contents(backup));
              const auto older = open_record(path, Opening::must_exist);
              return older ? 12 : 0;
            }),
            0);
}

/// Of two threads that look at a growing record, the one that looked first may compare last.
TEST(HeldRecord, AGrowingOneIsNotTakenForAnother) {
  const Scratch scratch;
  const std::string path = made(scratch);
  EXPECT_EQ(in_child([&] {
              if (!hold_record(path)) return 10;
              std::atomic<bool> goes_on = true;
              std::atomic<int> refused = 0;
              std::vector<std::thread> lookers;
              for (int looker = 0; looker < 8; ++looker)
                lookers.emplace_back([&] {
                  while (goes_on)
                    if (!open_record(path, Opening::must_exist)) ++refused;
                });
              {
                auto store = open_record(path, Opening::must_exist);
                for (int entered = 0; entered < 800; ++entered)
                  if (!store || !add(**store, margin(entered + 1), entry())) refused += 1000;
              }
              goes_on = false;
              for (std::thread& looker : lookers) looker.join();
              return refused == 0 ? 0 : 11;
            }),
            0);
}

TEST(NewRecord, NothingElseMakesOne) {
  const Scratch scratch;
  const std::string path = made(scratch);
  const auto again = new_record(path);
  ASSERT_FALSE(again);
  EXPECT_EQ(again.error().code, ErrorCode::bad_request);
  const auto mistyped = open_record(scratch.file("lap.record"), Opening::must_exist);
  ASSERT_FALSE(mistyped);
  EXPECT_EQ(mistyped.error().code, ErrorCode::outside_world);
  EXPECT_NE(mistyped.error().message.find("is it lab.record?"), std::string::npos)
      << mistyped.error().text();
  EXPECT_EQ(files_in(scratch.folder()), 1u);
}

/// The numbers that the kernel gives for network file systems (linux/magic.h), and for some disks.
TEST(Networks, AreKnownByTheirNumbers) {
  for (const unsigned long magic :
       {0x6969ul, 0xff534d42ul, 0xfe534d42ul, 0x517bul, 0x01021997ul, 0x65735546ul, 0x00c36400ul})
    EXPECT_TRUE(sqlite::network_of_magic(magic)) << magic;
  // ext4, tmpfs, XFS, btrfs, overlayfs
  for (const unsigned long magic :
       {0xef53ul, 0x01021994ul, 0x58465342ul, 0x9123683eul, 0x794c7630ul})
    EXPECT_FALSE(sqlite::network_of_magic(magic)) << magic;
}

std::string journal_of(const std::string& path) {
  sqlite3* raw = nullptr;
  EXPECT_EQ(sqlite3_open(path.c_str(), &raw), SQLITE_OK);
  std::string mode;
  sqlite3_exec(
      raw, "PRAGMA journal_mode",
      [](void* to, int, char** cells, char**) {
        *static_cast<std::string*>(to) = cells[0];
        return 0;
      },
      &mode, nullptr);
  sqlite3_close(raw);
  return mode;
}

/// No share can be mounted here: the look at the place is told that it is one.
TEST(Networks, KeepAJournalInPlaceOfALog) {
  const Scratch scratch;
  const std::string path = made(scratch);
  EXPECT_EQ(journal_of(path), "wal");
  sqlite::pretend_network("NFS");
  EXPECT_NE(place_note(path).find("NFS"), std::string::npos);
  {
    auto store = open_record(path, Opening::must_exist);
    ASSERT_TRUE(store) << store.error().text();
    EXPECT_TRUE(add(**store, margin(1), entry()));
    // Others come in between.
    auto other = open_record(path, Opening::must_exist);
    ASSERT_TRUE(other) << other.error().text();
    EXPECT_TRUE(add(**other, margin(2), entry()));
    EXPECT_TRUE(add(**store, margin(3), entry()));
    EXPECT_FALSE(std::filesystem::exists(path + "-wal"));
  }
  EXPECT_EQ(journal_of(path), "delete");
  ASSERT_TRUE(new_record(scratch.file("new.record")));
  EXPECT_EQ(journal_of(scratch.file("new.record")), "delete");
  sqlite::pretend_network(std::nullopt);
  EXPECT_EQ(place_note(path), "");
  auto store = open_record(path, Opening::must_exist);
  ASSERT_TRUE(store) << store.error().text();
  EXPECT_EQ(*(*store)->count("reading"), 3);
  EXPECT_EQ(journal_of(path), "wal") << "brought back to a disk of this machine";
}

}  // namespace
}  // namespace mendtone::sqlite_foreign_test
