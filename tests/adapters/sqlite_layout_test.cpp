#include <gtest/gtest.h>
#include <signal.h>
#include <sqlite3.h>
#include <sys/resource.h>

#include "in_child.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "record_samples.hpp"
#include "scratch.hpp"

namespace mendtone {
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

/// Every row of every table as SQLite's own shell would show it, for the tables of layout 1.
std::string everything(const std::string& path) {
  sqlite3* raw = nullptr;
  EXPECT_EQ(sqlite3_open(path.c_str(), &raw), SQLITE_OK);
  std::string text;
  for (const Kind& kind : kinds()) {
    if (kind.name == "pickup") continue;
    std::string columns = "row, id, replaces, withdrawn, entry";
    for (const Column& column : kind.columns) columns += ", \"" + column.name + '"';
    sqlite3_exec(
        raw, ("SELECT " + columns + " FROM \"" + kind.name + "\" ORDER BY row").c_str(),
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

class OldLayouts : public testing::TestWithParam<int> {};

/// A fixture for every layout there has been: a new layout without one fails here.
INSTANTIATE_TEST_SUITE_P(EveryLayout, OldLayouts, testing::Range(1, record_layout() + 1));

TEST_P(OldLayouts, AreBroughtUpToDateWithEveryRowAsItWas) {
  const Scratch scratch;
  const std::string path = old_record(scratch, GetParam());
  const std::string before = everything(path);
  ASSERT_EQ(layout_of(path), GetParam());
  auto store = open_record(path, Opening::must_exist);
  ASSERT_TRUE(store) << store.error().text();
  EXPECT_EQ(*(*store)->count("sheet"), 1);
  EXPECT_EQ(history<Sheet>(**store, 1)->size(), 2u);
  EXPECT_EQ(get<Sheet>(**store, 1)->value.width_mm, 613);
  EXPECT_EQ(current<KeptReading>(**store)->front().value.reading.spectrum->value,
            margin(1).reading.spectrum->value);
  PickUp pickup;
  pickup.tissue = 1;
  pickup.method = "bath";
  pickup.ml_m2 = 61;
  EXPECT_TRUE(add(**store, pickup, entry())) << "what came with the new layout can be kept";
  EXPECT_FALSE((*store)->correct(1, to_row(pickup), entry())) << "and is guarded like the rest";
  store->reset();
  EXPECT_EQ(layout_of(path), record_layout());
  EXPECT_TRUE(check_record_file(path)->empty());
  EXPECT_EQ(everything(path), before);
  const bool moved = GetParam() < record_layout();
  EXPECT_EQ(std::filesystem::exists(path + ".layout-" + std::to_string(GetParam())), moved);
  if (moved) {
    const std::string copy = path + ".layout-" + std::to_string(GetParam());
    EXPECT_EQ(layout_of(copy), GetParam());
    EXPECT_EQ(everything(copy), before);
  }
}

TEST(Layouts, AStepThatFailsLeavesTheRecordAsItWas) {
  const Scratch scratch;
  const std::string path = old_record(scratch, 1);
  const std::string before = everything(path);
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
  EXPECT_EQ(everything(path), before);
  EXPECT_TRUE(open_record(path, Opening::must_exist)) << "and the step can be taken later";
}

}  // namespace
}  // namespace mendtone
