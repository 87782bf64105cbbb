#include <gtest/gtest.h>
#include <sqlite3.h>

#include "adapters/record_samples.hpp"
#include "adapters/scratch.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/app/inputs/inputs.hpp"
#include "mendtone/app/record/catalogue.hpp"
#include "mendtone/app/record/recheck.hpp"
#include "mendtone/app/record/record.hpp"

// A record of an older program that holds what this one would not keep.
namespace mendtone::app::unreadable_test {
namespace {

using record::entry;

/// Two stocks and two spots of an invented chart; of each the second is spoilt behind the
/// program's back, as 0.1.0 would have kept it.
class OldRecord : public ::testing::Test {
 protected:
  void SetUp() override {
    ASSERT_TRUE(new_record(path));
    keep("sheet", {{"name", "chart"}});
    keep("spot", {{"name", "margin"}, {"sheet", "chart"}, {"outline", "1,1 9,1 9,9"}});
    keep("spot", {{"name", "cartouche"}, {"sheet", "chart"}, {"outline", "1,1 9,1 9,9"}});
    keep("stock", {{"name", "ochre 2"}, {"dry_g_ml", "ochre=0.012"}});
    keep("stock", {{"name", "carbon 1"}, {"dry_g_ml", "carbon=0.002"}});
    const std::string deep = "{\"a\":" + std::string(100000, '[');
    spoil("stock", "dry_g_ml", "carbon 1", deep);
    spoil("spot", "outline", "cartouche", "[1,2]");
  }
  void keep(const std::string& kind, const Written& columns) const {
    const auto kept = record_keep({path, entry(), kind, columns, ""});
    ASSERT_TRUE(kept) << kept.error().text();
  }
  void spoil(const std::string& kind, const std::string& column, const std::string& name,
             const std::string& cell) const {
    sqlite3* raw = nullptr;
    ASSERT_EQ(sqlite3_open(path.c_str(), &raw), SQLITE_OK);
    const std::string guard = text_of(raw, "SELECT sql FROM sqlite_master WHERE name = '" + kind +
                                               "_no_change' AND type = 'trigger'");
    ASSERT_FALSE(guard.empty());
    run(raw, "DROP TRIGGER " + kind + "_no_change");
    run(raw, "UPDATE \"" + kind + "\" SET \"" + column + "\" = '" + cell + "' WHERE name = '" +
                 name + "'");
    run(raw, guard);
    sqlite3_close(raw);
  }
  static void run(sqlite3* raw, const std::string& sql) {
    ASSERT_EQ(sqlite3_exec(raw, sql.c_str(), nullptr, nullptr, nullptr), SQLITE_OK)
        << sqlite3_errmsg(raw);
  }
  static std::string text_of(sqlite3* raw, const std::string& sql) {
    std::string text;
    const auto take = [](void* to, int, char** values, char**) {
      *static_cast<std::string*>(to) = values[0];
      return 0;
    };
    EXPECT_EQ(sqlite3_exec(raw, sql.c_str(), take, &text, nullptr), SQLITE_OK);
    return text;
  }

  Scratch scratch;
  std::string path = scratch.file("old.record");
};

std::string why_not(const Shown& thing) {
  for (const auto& [name, cell] : thing.columns)
    if (name == "cannot_be_understood") return record::text_of(cell);
  return {};
}

TEST_F(OldRecord, IsShownAndTheRowIsNamed) {
  const auto catalogue = record_catalogue({path});
  ASSERT_TRUE(catalogue) << catalogue.error().text();
  EXPECT_EQ(catalogue->things.size(), 3u);  // the sheet, both stocks
  EXPECT_GT(to_json(*catalogue).size(), 100000u);
  const auto whole = record_show({path, "chart"});
  ASSERT_TRUE(whole) << whole.error().text();
  ASSERT_EQ(whole->things.size(), 3u);  // the sheet, both spots
  EXPECT_EQ(why_not(whole->things[0]), "");
  EXPECT_EQ(why_not(whole->things[2]),
            "spot.outline, spot #2, row 2: the record holds a spot that cannot be understood: "
            "expected polygons [[[x, y], …], …], found '[1,2]'; correct or withdraw it");
  EXPECT_NE(to_json(*whole).find("\"cannot_be_understood\""), std::string::npos);
  EXPECT_NE(to_text(*whole).find("spot #2, row 2"), std::string::npos);
}

TEST_F(OldRecord, IsRecheckedAndTheRowsAreNamed) {
  const auto checked = recheck({path});
  ASSERT_TRUE(checked) << checked.error().text();
  std::string found;
  for (const Disagreement& one : checked->disagreements) found += one.what + " " + one.where + "\n";
  EXPECT_NE(found.find("stock #2, row 2 stock.dry_g_ml\n"), std::string::npos) << found;
  EXPECT_NE(found.find("spot #2, row 2 spot.outline\n"), std::string::npos) << found;
}

TEST_F(OldRecord, WhatIsAskedForItselfIsRefusedByName) {
  InputPlace place(path);
  const auto stocks = input_bytes("stocks", place);
  ASSERT_FALSE(stocks);
  EXPECT_EQ(stocks.error().where, "stock.dry_g_ml, stock #2, row 2");
  EXPECT_NE(stocks.error().message.find("correct or withdraw it"), std::string::npos);
}

TEST_F(OldRecord, CanBeCorrectedAndWithdrawn) {
  const auto corrected =
      record_keep({path, entry("read again"), "stock", {{"dry_g_ml", "carbon=0.002"}}, "carbon 1"});
  ASSERT_TRUE(corrected) << corrected.error().text();
  const auto stocks = input_bytes("stocks", InputPlace(path));
  EXPECT_TRUE(stocks) << stocks.error().text();
  const auto withdrawn = record_withdraw({path, entry("no such place"), "spot", "cartouche"});
  ASSERT_TRUE(withdrawn) << withdrawn.error().text();
  const auto whole = record_show({path, "chart"});
  ASSERT_TRUE(whole);
  for (const Shown& thing : whole->things) EXPECT_EQ(why_not(thing), "");
}

TEST_F(OldRecord, IsWrittenOutExactlyAsItIs) {
  const auto exported = record_export({path, scratch.file("out")});
  ASSERT_TRUE(exported) << exported.error().text();
}

}  // namespace
}  // namespace mendtone::app::unreadable_test
