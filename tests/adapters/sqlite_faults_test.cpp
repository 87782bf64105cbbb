#include <gtest/gtest.h>

#include <optional>

#include "faulty_disk.hpp"
#include "long_runs.hpp"
#include "mendtone/adapters/record_seals.hpp"
#include "mendtone/adapters/record_tables.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "record_samples.hpp"
#include "scratch.hpp"

// Every write, sync, read and removal of SQLite's fails once, in each way that a disk can fail.
namespace mendtone::sqlite_faults_test {
namespace {

using namespace record;

/// Records to begin with, made once, by the disk that does not fail.
struct Stock {
  Scratch scratch;
  std::string sound = scratch.file("sound"), old = scratch.file("old");
  std::vector<RecordTable> tables;
  std::vector<std::string> bytes;

  Stock() {
    auto store = open_record(sound, Opening::create_if_missing);
    EXPECT_TRUE(store) << store.error().text();
    EXPECT_TRUE(add(**store, chart(), entry()));
    EXPECT_TRUE((*store)->keep_bytes(std::string(3000, 'b')));
    for (int i = 0; i < 3; ++i) EXPECT_TRUE(add(**store, margin(i), entry()));
    store->reset();
    auto read = record_tables(sound, [&](const std::string&, const std::string& kept) {
      bytes.push_back(kept);
      return Result<void>();
    });
    EXPECT_TRUE(read);
    tables = *std::move(read);
    sqlite3* raw = nullptr;
    EXPECT_EQ(sqlite3_open(old.c_str(), &raw), SQLITE_OK);
    const std::string sql =
        contents(std::string(MENDTONE_SOURCE_DIR) + "/tests/adapters/fixtures/record-layout-2.sql");
    EXPECT_EQ(sqlite3_exec(raw, sql.c_str(), nullptr, nullptr, nullptr), SQLITE_OK);
    sqlite3_close(raw);
  }
};

/// What a piece of work was told, to be held against what is there afterwards.
struct Promised {
  std::vector<std::string> notes;  ///< acknowledged one by one
  bool done = false;               ///< the whole of it
};

Result<Id> enter_note(Store& store, const std::string& text, std::string why = {}) {
  Note note;
  note.text = text;
  return add(store, note, entry(std::move(why)));
}

/// One kind of work: what lies there before, what is done, what must be there afterwards.
struct Work {
  const char* name;
  std::function<void(const Stock&, const std::string& path)> lay_out;
  std::function<void(const Stock&, const std::string& path, Promised&)> run;
  std::function<void(const std::string& path, const Promised&)> expect;
};

void copy_in(const std::string& from, const std::string& path) {
  std::filesystem::copy_file(from, path);
}

/// Open, sound, sealed, with what was in it before; handed on for more questions.
std::unique_ptr<Store> sound_record(const std::string& path, std::int64_t sheets) {
  auto store = open_record(path, Opening::must_exist);
  EXPECT_TRUE(store) << store.error().text();
  if (!store) return nullptr;
  EXPECT_EQ((*store)->reading_only(), "");
  EXPECT_EQ(*check_record_file(path), std::vector<std::string>());
  EXPECT_EQ(check_seals(path)->breaks, std::vector<std::string>());
  EXPECT_EQ(*(*store)->count("sheet"), sheets);
  return *std::move(store);
}

void expect_notes(const Store& store, const Promised& promised) {
  std::vector<std::string> there;
  const auto notes = current<Note>(store);
  for (const auto& kept : *notes) there.push_back(kept.value.text);
  for (const std::string& text : promised.notes)
    EXPECT_EQ(std::count(there.begin(), there.end(), text), 1) << text;
}

void enter_notes(const Stock&, const std::string& path, Promised& promised) {
  for (int i = 0; i < 3; ++i) {
    auto store = open_record(path, Opening::must_exist);
    const std::string text = "note " + std::to_string(i);
    if (store && enter_note(**store, text)) promised.notes.push_back(text);
    // The same connection, after a failure: it goes on or says so again.
    if (store && enter_note(**store, text + " again")) promised.notes.push_back(text + " again");
  }
}

void correct_sheet(const Stock&, const std::string& path, Promised& promised) {
  auto store = open_record(path, Opening::must_exist);
  if (!store) return;
  Sheet better = chart();
  better.width_mm = 613;
  promised.done = static_cast<bool>(correct(**store, 1, better, entry("measured again")));
}

void import_readings(const Stock&, const std::string& path, Promised& promised) {
  auto store = open_record(path, Opening::must_exist);
  if (!store) return;
  promised.done = static_cast<bool>((*store)->together([&]() -> Result<void> {
    if (auto kept = (*store)->keep_bytes(std::string(9000, 'x')); !kept) return kept.error();
    for (int i = 0; i < 30; ++i)
      if (auto kept = add(**store, margin(10 + i), entry()); !kept) return kept.error();
    return {};
  }));
}

std::vector<Work> all_work() {
  const auto sound = [](const Stock& stock, const std::string& path) {
    copy_in(stock.sound, path);
  };
  return {
      {"entry", sound, enter_notes,
       [](const std::string& path, const Promised& promised) {
         if (auto store = sound_record(path, 1)) expect_notes(*store, promised);
       }},
      {"correction", sound, correct_sheet,
       [](const std::string& path, const Promised& promised) {
         auto store = sound_record(path, 1);
         if (!store) return;
         const auto rows = history<Sheet>(*store, 1)->size();
         EXPECT_TRUE(promised.done ? rows == 2 : rows == 1 || rows == 2) << rows;
       }},
      {"import", sound, import_readings,
       [](const std::string& path, const Promised& promised) {
         auto store = sound_record(path, 1);
         if (!store) return;
         const auto readings = *store->count("reading");
         EXPECT_TRUE(promised.done ? readings == 33 : readings == 3 || readings == 33) << readings;
         EXPECT_EQ(store->all_bytes()->size(), readings == 33 ? 2u : 1u);
       }},
      {"layout step", [](const Stock& stock, const std::string& path) { copy_in(stock.old, path); },
       [](const Stock&, const std::string& path, Promised& promised) {
         promised.done = static_cast<bool>(open_record(path, Opening::must_exist));
       },
       [](const std::string& path, const Promised&) {
         // What was laid aside is whole wherever it has its name.
         const std::string aside = path + ".layout-2";
         if (std::filesystem::exists(aside)) sound_record(aside, 1);
         sound_record(path, 1);
       }},
      {"backup", sound,
       [](const Stock&, const std::string& path, Promised& promised) {
         promised.done = static_cast<bool>(back_up_record(path, path + ".backup"));
       },
       [](const std::string& path, const Promised& promised) {
         sound_record(path, 1);
         const bool there = std::filesystem::exists(path + ".backup");
         EXPECT_TRUE(there || !promised.done);
         if (there) sound_record(path + ".backup", 1);
       }},
      {"restore", [](const Stock&, const std::string&) {},
       [](const Stock& stock, const std::string& path, Promised& promised) {
         promised.done = static_cast<bool>(record_from_tables(path, stock.tables, stock.bytes));
       },
       [](const std::string& path, const Promised& promised) {
         const bool there = std::filesystem::exists(path);
         EXPECT_EQ(there, promised.done);
         if (!there) return;
         auto store = sound_record(path, 1);
         if (!store) return;
         EXPECT_EQ(*store->count("reading"), 3);
       }}};
}

/// One work with one fault at one point; false where the work ended before it came.
bool meets(const Work& work, const Stock& stock, DiskFault fault, long at) {
  const Scratch scratch;
  const std::string path = scratch.file("lab.record");
  work.lay_out(stock, path);
  Promised promised;
  bool met = false;
  {
    const FaultyDisk disk(fault, at, static_cast<std::uint64_t>(at) * 7919 + 1);
    work.run(stock, path, promised);
    met = disk.met();
    if (met && fault == DiskFault::power_lost)
      disk.leave_what_a_loss_leaves(scratch.folder().string());
  }
  work.expect(path, promised);
  return met;
}

class DiskFaults : public testing::TestWithParam<std::size_t> {};
INSTANTIATE_TEST_SUITE_P(EveryWork, DiskFaults, testing::Range<std::size_t>(0, 6),
                         [](const auto& about) {
                           std::string name = all_work()[about.param].name;
                           std::erase(name, ' ');
                           return name;
                         });

/// All points with MENDTONE_LONG; else every so many, another set for each fault.
TEST_P(DiskFaults, LeaveWhatWasAcknowledgedOrAreSaid) {
  const Work work = all_work()[GetParam()];
  const Stock stock;
  const long stride = static_cast<long>(test::count(1, 61));
  long met = 0;
  for (const DiskFault fault : all_disk_faults) {
    for (long at = stride == 1 ? 0 : static_cast<long>(fault) + 1;; at += stride) {
      SCOPED_TRACE(std::string(work.name) + ", " + name_of(fault) + " at " + std::to_string(at));
      if (!meets(work, stock, fault, at)) break;
      ++met;
      if (testing::Test::HasFailure()) return;
    }
  }
  EXPECT_GT(met, stride == 1 ? 50 : 1);
  RecordProperty("faults_met", static_cast<int>(met));
  std::cout << work.name << ": " << met << " faults\n";
}

}  // namespace
}  // namespace mendtone::sqlite_faults_test
