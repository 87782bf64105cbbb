#include "mendtone/adapters/sqlite_store.hpp"

#include <gtest/gtest.h>
#include <sqlite3.h>

#include <thread>

#include "mendtone/adapters/sha256.hpp"
#include "record_samples.hpp"
#include "scratch.hpp"

namespace mendtone::sqlite_store_test {
namespace {

using namespace record;

std::unique_ptr<Store> opened(const std::string& path) {
  auto store = open_record(path, Opening::create_if_missing);
  EXPECT_TRUE(store) << store.error().text();
  return store ? *std::move(store) : nullptr;
}

/// One of the examples of FIPS 180-4's companion test vectors ("abc").
/// Ref: fips180-4 (value from memory)
TEST(Sha256, KnownAnswers) {
  EXPECT_EQ(sha256("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  EXPECT_EQ(sha256(""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  const Scratch scratch;
  write_contents(scratch.file("abc"), "abc");
  EXPECT_EQ(*sha256_of_file(scratch.file("abc")), sha256("abc"));
  EXPECT_EQ(sha256_of_file(scratch.file("none")).error().code, ErrorCode::outside_world);
}

TEST(SqliteStore, WhatIsKeptIsThereAfterwards) {
  const Scratch scratch;
  const std::string path = scratch.file("lab.record");
  Id sheet = 0;
  {
    auto store = opened(path);
    sheet = *add(*store, chart(), entry());
    KeptReading reading = margin(1);
    reading.sheet = sheet;
    ASSERT_TRUE(add(*store, reading, entry()));
  }
  EXPECT_EQ(files_in(scratch.folder()), 1u) << "no log or temporary file stays behind";
  auto store = opened(path);
  const auto kept = get<Sheet>(*store, sheet);
  ASSERT_TRUE(kept) << kept.error().text();
  EXPECT_EQ(to_row(kept->value).cells, to_row(chart()).cells);
  EXPECT_EQ(kept->entry.who, "A. Conservator");
  EXPECT_EQ(kept->entry.when, "2026-03-14T09:26:53Z");
  const auto readings = current<KeptReading>(*store, {{{"sheet", Cell{sheet}}}, false});
  ASSERT_TRUE(readings);
  ASSERT_EQ(readings->size(), 1u);
  EXPECT_EQ((*readings)[0].value.reading.spectrum->value, margin(1).reading.spectrum->value);
}

TEST(SqliteStore, ACorrectionIsANewRowThatSaysWhy) {
  const Scratch scratch;
  auto store = opened(scratch.file("lab.record"));
  const Id id = *add(*store, chart(), entry());
  Sheet better = chart();
  better.width_mm = 613;
  EXPECT_FALSE(correct(*store, id, better, entry()));
  ASSERT_TRUE(correct(*store, id, better, entry("measured again")));
  EXPECT_EQ(get<Sheet>(*store, id)->value.width_mm, 613);
  const auto past = history<Sheet>(*store, id);
  ASSERT_EQ(past->size(), 2u);
  EXPECT_EQ((*past)[0].value.width_mm, 612.5);
  EXPECT_EQ((*past)[1].replaces, (*past)[0].row);
  EXPECT_EQ((*past)[1].entry.why, "measured again");
  EXPECT_EQ(*store->count("sheet"), 1);
}

TEST(SqliteStore, WithdrawnThingsStayInTheirHistory) {
  const Scratch scratch;
  auto store = opened(scratch.file("lab.record"));
  const Id sheet = *add(*store, chart(), entry());
  Spot spot;
  spot.sheet = sheet;
  spot.name = "margin";
  const Id spot_id = *add(*store, spot, entry());
  EXPECT_FALSE(store->withdraw("sheet", sheet, entry("wrong"))) << "a spot belongs to it";
  EXPECT_FALSE(store->withdraw("spot", spot_id, entry())) << "it must say why";
  ASSERT_TRUE(store->withdraw("spot", spot_id, entry("entered twice")));
  EXPECT_TRUE(current<Spot>(*store)->empty());
  EXPECT_EQ(history<Spot>(*store, spot_id)->size(), 2u);
  EXPECT_FALSE(correct(*store, spot_id, spot, entry("again")));
  EXPECT_TRUE(add(*store, spot, entry())) << "its name is free again";
  EXPECT_TRUE(
      store->withdraw("sheet", sheet, entry("no")).error().message.find("1 spot belongs to it") !=
      std::string::npos);
}

TEST(SqliteStore, NamesAreTakenOnce) {
  const Scratch scratch;
  auto store = opened(scratch.file("lab.record"));
  const Id one = *add(*store, chart(), entry());
  EXPECT_FALSE(add(*store, chart(), entry()));
  Sheet other = chart();
  other.name = "tide table";
  const Id two = *add(*store, other, entry());
  Spot spot;
  spot.name = "margin";
  spot.sheet = one;
  ASSERT_TRUE(add(*store, spot, entry()));
  EXPECT_FALSE(add(*store, spot, entry()));
  spot.sheet = two;
  EXPECT_TRUE(add(*store, spot, entry())) << "the same name on another sheet is another spot";
}

TEST(SqliteStore, LinksMustLeadSomewhere) {
  const Scratch scratch;
  auto store = opened(scratch.file("lab.record"));
  Spot spot;
  spot.name = "margin";
  spot.sheet = 7;
  const auto refused = add(*store, spot, entry());
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().where, "spot.sheet");
}

TEST(SqliteStore, TogetherIsAllOrNothing) {
  const Scratch scratch;
  auto store = opened(scratch.file("lab.record"));
  const auto failed = store->together([&]() -> Result<void> {
    EXPECT_TRUE(add(*store, chart(), entry()));
    // An inner failure that is overlooked takes only itself away.
    (void)store->together([&]() -> Result<void> {
      EXPECT_TRUE(add(*store, margin(1), entry()));
      return bad_input("inner");
    });
    return bad_input("stop");
  });
  ASSERT_FALSE(failed);
  EXPECT_EQ(failed.error().message, "stop");
  EXPECT_EQ(*store->count("sheet"), 0);
  ASSERT_TRUE(store->together([&]() -> Result<void> {
    EXPECT_TRUE(add(*store, chart(), entry()));
    (void)store->together([&]() -> Result<void> {
      EXPECT_TRUE(add(*store, margin(1), entry()));
      return bad_input("inner");
    });
    return {};
  }));
  EXPECT_EQ(*store->count("sheet"), 1);
  EXPECT_EQ(*store->count("reading"), 0);
}

TEST(SqliteStore, TheSameBytesAreKeptOnce) {
  const Scratch scratch;
  auto store = opened(scratch.file("lab.record"));
  const std::string bytes("a\0b\xff", 4);
  const auto hash = store->keep_bytes(bytes);
  EXPECT_EQ(*hash, sha256(bytes));
  EXPECT_EQ(*store->keep_bytes(bytes), *hash);
  EXPECT_EQ(*store->bytes(*hash), bytes);
  EXPECT_EQ(*store->bytes(*store->keep_bytes("")), "");
  EXPECT_EQ(store->all_bytes()->size(), 2u);
  EXPECT_FALSE(store->bytes(std::string(64, '0')));
}

TEST(SqliteStore, WholeSheetGathersEveryPart) {
  const Scratch scratch;
  auto store = opened(scratch.file("lab.record"));
  const Id sheet = *add(*store, chart(), entry());
  Loss loss;
  loss.sheet = sheet;
  loss.name = "corner";
  loss.nature = "loss";
  const Id loss_id = *add(*store, loss, entry());
  Tissue tissue;
  tissue.name = "kozo 12";
  const Id tissue_id = *add(*store, tissue, entry());
  Recipe recipe;
  recipe.name = "corner wash";
  recipe.loss = loss_id;
  recipe.tissue = tissue_id;
  const Id recipe_id = *add(*store, recipe, entry());
  Trial trial;
  trial.name = "first";
  trial.recipe = recipe_id;
  const Id trial_id = *add(*store, trial, entry());
  KeptReading read = margin(1);
  read.trial = trial_id;
  ASSERT_TRUE(add(*store, read, entry()));
  Fill fill;
  fill.loss = loss_id;
  fill.name = "two plies";
  fill.tissue = tissue_id;
  fill.recipe = recipe_id;
  fill.verdict = "chosen";
  ASSERT_TRUE(add(*store, fill, entry()));
  Note note;
  note.text = "seen by raking light";
  note.sheet = sheet;
  note.loss = loss_id;
  ASSERT_TRUE(add(*store, note, entry()));
  const auto whole = whole_sheet(*store, sheet);
  ASSERT_TRUE(whole) << whole.error().text();
  EXPECT_EQ(whole->losses.size(), 1u);
  EXPECT_EQ(whole->fills.size(), 1u);
  EXPECT_EQ(whole->recipes.size(), 1u);
  EXPECT_EQ(whole->trials.size(), 1u);
  EXPECT_EQ(whole->trial_readings.size(), 1u);
  EXPECT_EQ(whole->tissues.size(), 1u);
  EXPECT_EQ(whole->notes.size(), 1u) << "once, though it names the sheet and the loss";
}

/// The file itself refuses what another program might try.
TEST(SqliteStore, TheFileRefusesChangeAndRemoval) {
  const Scratch scratch;
  const std::string path = scratch.file("lab.record");
  {
    auto store = opened(path);
    ASSERT_TRUE(add(*store, chart(), entry()));
    ASSERT_TRUE(store->keep_bytes("abc"));
  }
  sqlite3* raw = nullptr;
  ASSERT_EQ(sqlite3_open(path.c_str(), &raw), SQLITE_OK);
  sqlite3_exec(raw, "PRAGMA foreign_keys=ON", nullptr, nullptr, nullptr);
  for (const char* attempt :
       {"UPDATE sheet SET name = 'x'", "DELETE FROM sheet", "UPDATE entry SET who = 'x'",
        "DELETE FROM entry", "UPDATE origin SET id = 'x'", "DELETE FROM origin",
        "INSERT INTO origin SELECT 2, id, found_entries, found_seal FROM origin",
        "UPDATE kept_bytes SET bytes = x'00'", "DELETE FROM kept_bytes",
        // a second correction of one row, one of another thing, one without a reason
        "INSERT INTO sheet (row, id, replaces, entry, name) VALUES (9, 5, 1, 1, 'x')",
        "INSERT INTO sheet (row, id, replaces, entry, name) VALUES (9, 1, 1, 1, 'x')",
        // wrong type, unknown entry, entry without a name, a time that is none
        "INSERT INTO sheet (row, id, entry, name, width_mm) VALUES (9, 9, 1, 'x', 'wide')",
        "INSERT INTO sheet (row, id, entry, name) VALUES (9, 9, 77, 'x')",
        "INSERT INTO entry (who, at, seal) SELECT '', at, seal FROM entry",
        "INSERT INTO entry (who, at, seal) SELECT who, 'yesterday', seal FROM entry",
        // an entry without a seal, as an older program would make it
        "INSERT INTO entry (who, at) VALUES ('x', '2026-03-14T09:26:53Z')"})
    EXPECT_EQ(sqlite3_exec(raw, attempt, nullptr, nullptr, nullptr) & 0xff, SQLITE_CONSTRAINT)
        << attempt;
  sqlite3_close(raw);
  EXPECT_TRUE(check_record_file(path)->empty());
}

/// Every table of the layout is STRICT, guarded, and has the columns of its kind.
TEST(SqliteStore, TheLayoutFollowsTheKinds) {
  const Scratch scratch;
  const std::string path = scratch.file("lab.record");
  opened(path).reset();
  sqlite3* raw = nullptr;
  ASSERT_EQ(sqlite3_open(path.c_str(), &raw), SQLITE_OK);
  const auto list = [&](const std::string& sql) {
    std::vector<std::string> found;
    sqlite3_exec(
        raw, sql.c_str(),
        [](void* to, int, char** cells, char**) {
          static_cast<std::vector<std::string>*>(to)->push_back(cells[0] ? cells[0] : "");
          return 0;
        },
        &found, nullptr);
    return found;
  };
  std::size_t tables = 3;  // entry, kept_bytes, origin
  for (const Kind& kind : kinds()) {
    ++tables;
    std::vector<std::string> expected{"entry", "id", "replaces", "row", "withdrawn"};
    for (const Column& column : kind.columns) expected.push_back(column.name);
    std::sort(expected.begin(), expected.end());
    EXPECT_EQ(list("SELECT name FROM pragma_table_info('" + kind.name + "') ORDER BY name"),
              expected);
    for (const Column& column : kind.columns)
      if (!column.links_to.empty()) {
        EXPECT_EQ(list("SELECT \"table\" FROM pragma_foreign_key_list('" + kind.name +
                       "') WHERE \"from\" = '" + column.name + "'"),
                  std::vector<std::string>{column.links_to})
            << kind.name << '.' << column.name;
      }
  }
  EXPECT_EQ(list("SELECT count(*) FROM pragma_table_list WHERE strict = 1"),
            std::vector<std::string>{std::to_string(tables)});
  EXPECT_EQ(list("SELECT count(*) FROM sqlite_schema WHERE type = 'trigger'"),
            std::vector<std::string>{std::to_string(3 * tables - 2)});
  EXPECT_EQ(list("PRAGMA application_id"), std::vector<std::string>{"1298493028"});
  EXPECT_EQ(list("PRAGMA user_version"), std::vector<std::string>{std::to_string(record_layout())});
  EXPECT_EQ(list("PRAGMA journal_mode"), std::vector<std::string>{"wal"});
  sqlite3_close(raw);
}

/// Four writers, each with a record of its own open on the same file, and a reader among them.
TEST(SqliteStore, SeveralWritersAtOnce) {
  const Scratch scratch;
  const std::string path = scratch.file("lab.record");
  constexpr int writers = 4, each = 25;
  std::vector<std::thread> threads;
  std::atomic<int> refused{0};
  for (int writer = 0; writer < writers; ++writer)
    threads.emplace_back([&, writer] {
      auto store = open_record(path, Opening::create_if_missing);
      if (!store) {
        ++refused;
        return;
      }
      for (int i = 0; i < each; ++i) {
        KeptReading reading = margin(i);
        reading.reading.name = "writer " + std::to_string(writer);
        if (!add(**store, reading, entry())) ++refused;
      }
    });
  for (std::thread& thread : threads) thread.join();
  EXPECT_EQ(refused, 0);
  auto store = opened(path);
  EXPECT_EQ(*store->count("reading"), writers * each);
  EXPECT_TRUE(check_record_file(path)->empty());
}

TEST(SqliteStore, ABackupIsMadeWhileInUse) {
  const Scratch scratch;
  const std::string path = scratch.file("lab.record"), copy = scratch.file("copy.record");
  auto store = opened(path);
  ASSERT_TRUE(add(*store, chart(), entry()));
  ASSERT_TRUE(store->reading_together([&]() -> Result<void> {
    EXPECT_EQ(*store->count("sheet"), 1);
    const auto head = back_up_record(path, copy);
    if (!head) return head.error();
    EXPECT_EQ(*head, *store->head());
    return {};
  }));
  ASSERT_TRUE(add(*store, margin(1), entry()));
  auto second = open_record(copy, Opening::must_exist);
  ASSERT_TRUE(second) << second.error().text();
  EXPECT_EQ(*(*second)->count("sheet"), 1);
  EXPECT_EQ(*(*second)->count("reading"), 0);
  const std::string before = contents(copy);
  EXPECT_FALSE(back_up_record(path, copy)) << "a backup never overwrites";
  EXPECT_EQ(contents(copy), before);
}

}  // namespace
}  // namespace mendtone::sqlite_store_test
