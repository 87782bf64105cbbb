#include <gtest/gtest.h>
#include <signal.h>
#include <sqlite3.h>
#include <sys/resource.h>

#include "in_child.hpp"
#include "mendtone/adapters/record_seals.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "record_samples.hpp"
#include "scratch.hpp"

namespace mendtone::sqlite_layout_test {
namespace {

using namespace record;

std::string fixture(int layout) {
  return std::string(MENDTONE_SOURCE_DIR) + "/tests/adapters/fixtures/record-layout-" +
         std::to_string(layout) + ".sql";
}

/// A record as the program of that layout left it.
std::string old_record(const Scratch& scratch, int layout) {
  const std::string path = scratch.file("old.record");
  sqlite3* raw = nullptr;
  EXPECT_EQ(sqlite3_open(path.c_str(), &raw), SQLITE_OK);
  const std::string sql = contents(fixture(layout));
  EXPECT_FALSE(sql.empty()) << fixture(layout);
  char* fault = nullptr;
  EXPECT_EQ(sqlite3_exec(raw, sql.c_str(), nullptr, nullptr, &fault), SQLITE_OK) << fault;
  sqlite3_close(raw);
  return path;
}

/// The first column of each line that SQLite gives.
std::vector<std::string> first_cells(sqlite3* raw, const std::string& sql) {
  std::vector<std::string> found;
  sqlite3_exec(
      raw, sql.c_str(),
      [](void* to, int, char** cells, char**) {
        static_cast<std::vector<std::string>*>(to)->push_back(cells[0] ? cells[0] : "");
        return 0;
      },
      &found, nullptr);
  return found;
}

/// What each table is asked for: the columns that it had in an old record.
using Selects = std::vector<std::string>;

Selects all_columns(const std::string& path) {
  sqlite3* raw = nullptr;
  EXPECT_EQ(sqlite3_open(path.c_str(), &raw), SQLITE_OK);
  Selects selects;
  for (const std::string& table : first_cells(raw,
                                              "SELECT name FROM sqlite_schema WHERE type = "
                                              "'table' AND name <> 'kept_bytes'")) {
    std::string columns;
    for (const std::string& column :
         first_cells(raw, "SELECT name FROM pragma_table_info('" + table + "')"))
      columns += (columns.empty() ? "\"" : ", \"") + column + '"';
    selects.push_back("SELECT " + columns + " FROM \"" + table + "\" ORDER BY row");
  }
  sqlite3_close(raw);
  return selects;
}

/// Every row that these find, as SQLite's own shell would show it.
std::string everything(const std::string& path, const Selects& selects) {
  sqlite3* raw = nullptr;
  EXPECT_EQ(sqlite3_open(path.c_str(), &raw), SQLITE_OK);
  std::string text;
  for (const std::string& select : selects) {
    text += select + '\n';
    sqlite3_exec(
        raw, select.c_str(),
        [](void* to, int count, char** cells, char**) {
          for (int i = 0; i < count; ++i)
            *static_cast<std::string*>(to) += cells[i] ? std::string("|") + cells[i] : "|-";
          *static_cast<std::string*>(to) += '\n';
          return 0;
        },
        &text, nullptr);
  }
  sqlite3_close(raw);
  return text;
}

std::int64_t layout_of(const std::string& path) {
  sqlite3* raw = nullptr;
  EXPECT_EQ(sqlite3_open(path.c_str(), &raw), SQLITE_OK);
  std::int64_t layout = -1;
  sqlite3_exec(
      raw, "PRAGMA user_version",
      [](void* to, int, char** cells, char**) {
        *static_cast<std::int64_t*>(to) = std::stoll(cells[0]);
        return 0;
      },
      &layout, nullptr);
  sqlite3_close(raw);
  return layout;
}

/// What came with the new layouts can be kept, is guarded like the rest, and sealed.
void expect_new_kinds_kept_and_sealed(const std::string& path) {
  auto store = open_record(path, Opening::must_exist);
  ASSERT_TRUE(store) << store.error().text();
  PickUp pickup;
  pickup.tissue = 1;
  pickup.method = "bath";
  pickup.ml_m2 = 61;
  EXPECT_TRUE(add(**store, pickup, entry()));
  EXPECT_FALSE((*store)->correct(1, to_row(pickup), entry()));
  SpotTest test;
  test.sheet = 1;
  test.tested = "iron-gall ink";
  test.liquid = "water";
  test.outcome = "changed";
  const auto id = add(**store, test, entry());
  ASSERT_TRUE(id) << id.error().text();
  EXPECT_FALSE((*store)->correct(*id, to_row(test), entry())) << "a correction says why";
  store->reset();
  const auto seals = check_seals(path);
  ASSERT_TRUE(seals) << seals.error().text();
  EXPECT_EQ(seals->breaks, std::vector<std::string>());
}

class OldLayouts : public testing::TestWithParam<int> {};

/// A fixture for every layout there has been: a new layout without one fails here.
INSTANTIATE_TEST_SUITE_P(EveryLayout, OldLayouts, testing::Range(1, record_layout() + 1));

TEST_P(OldLayouts, AreBroughtUpToDateWithEveryRowAsItWas) {
  const Scratch scratch;
  const std::string path = old_record(scratch, GetParam());
  const Selects selects = all_columns(path);
  const std::string before = everything(path, selects);
  ASSERT_EQ(layout_of(path), GetParam());
  auto store = open_record(path, Opening::must_exist);
  ASSERT_TRUE(store) << store.error().text();
  EXPECT_EQ(*(*store)->count("sheet"), 1);
  EXPECT_GE(history<Sheet>(**store, 1)->size(), 2u);
  EXPECT_EQ(get<Sheet>(**store, 1)->value.width_mm, 613);
  EXPECT_EQ(current<KeptReading>(**store)->front().value.reading.spectrum->value,
            margin(1).reading.spectrum->value);
  EXPECT_EQ((*store)->reading_only(), "");
  store->reset();
  EXPECT_EQ(layout_of(path), record_layout());
  EXPECT_EQ(everything(path, selects), before);
  EXPECT_EQ(*check_record_file(path), std::vector<std::string>());
  expect_new_kinds_kept_and_sealed(path);
  const bool moved = GetParam() < record_layout();
  EXPECT_EQ(std::filesystem::exists(path + ".layout-" + std::to_string(GetParam())), moved);
  if (moved) {
    const std::string copy = path + ".layout-" + std::to_string(GetParam());
    EXPECT_EQ(layout_of(copy), GetParam());
    EXPECT_EQ(everything(copy, selects), before);
  }
}

TEST(Layouts, AStepThatFailsLeavesTheRecordAsItWas) {
  const Scratch scratch;
  const std::string path = old_record(scratch, 1);
  const Selects selects = all_columns(path);
  const std::string before = everything(path, selects);
  const auto size = std::filesystem::file_size(path);
  EXPECT_EQ(in_child([&] {
              ::signal(SIGXFSZ, SIG_IGN);
              const rlimit limit{size + 8192, size + 8192};
              ::setrlimit(RLIMIT_FSIZE, &limit);
              // Room for the copy that is laid aside, none for the log of the step.
              std::filesystem::copy_file(path, path + ".layout-1");
              const rlimit none{4096, 4096};
              ::setrlimit(RLIMIT_FSIZE, &none);
              const auto opened = open_record(path, Opening::must_exist);
              return !opened && opened.error().code == ErrorCode::outside_world ? 0 : 1;
            }),
            0);
  EXPECT_EQ(layout_of(path), 1);
  EXPECT_EQ(everything(path, selects), before);
  EXPECT_TRUE(open_record(path, Opening::must_exist)) << "and the step can be taken later";
}

}  // namespace
}  // namespace mendtone::sqlite_layout_test
