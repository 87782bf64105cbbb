#include "mendtone/app/record/record.hpp"

#include <gtest/gtest.h>
#include <sys/stat.h>

#include <map>

#include "adapters/record_samples.hpp"
#include "adapters/scratch.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/app/record/keep.hpp"
#include "mendtone/app/record/recheck.hpp"
#include "mendtone/app/tone/tone.hpp"

namespace mendtone::app::record_test {
namespace {

using record::entry;

/// Two spots of the chart with repeats, over a white that stands in another file; invented.
constexpr const char* readings_csv =
    "name,repeat,role,backing,scale,400,450,500,550,600,650,700\n"
    "margin,1,target,white tile,fraction,0.40,0.48,0.55,0.61,0.66,0.69,0.71\n"
    "margin,2,target,white tile,fraction,0.41,0.49,0.56,0.62,0.67,0.70,0.72\n"
    "sea,1,target,white tile,fraction,0.30,0.38,0.45,0.51,0.56,0.59,0.61\n";
constexpr const char* backing_csv =
    "name,role,scale,400,450,500,550,600,650,700\n"
    "white tile,backing,fraction,0.85,0.87,0.88,0.88,0.88,0.88,0.88\n";

/// A record with the chart, its margin, and the readings.
struct Lab {
  Scratch scratch;
  std::string path = scratch.file("lab.record");

  Lab() {
    write_contents(scratch.file("readings.csv"), readings_csv);
    write_contents(scratch.file("backing.csv"), backing_csv);
    EXPECT_TRUE(new_record(path));
    keep("sheet", {{"name", "chart"}, {"object_id", "KB-1894-3"}});
    keep("spot", {{"name", "margin"}, {"sheet", "chart"}});
    import({"readings.csv", "backing.csv"});
  }
  KeepAnswer keep(const std::string& kind, const Written& columns) const {
    auto kept = record_keep({path, entry(), kind, columns, ""});
    EXPECT_TRUE(kept) << kept.error().text();
    return kept ? *kept : KeepAnswer{};
  }
  ImportAnswer import(const std::vector<std::string>& names) const {
    ImportRequest request;
    request.record = path;
    request.entry = entry();
    for (const std::string& name : names) request.files.push_back(scratch.file(name));
    request.sheet = "chart";
    request.stage = "before";
    auto imported = record_import(request);
    EXPECT_TRUE(imported) << imported.error().text();
    return imported ? *imported : ImportAnswer{};
  }
  std::map<std::string, std::int64_t> counts() const {
    std::map<std::string, std::int64_t> all;
    const auto shown = record_show({path, ""});
    for (const auto& [kind, count] : shown->counts) all[kind] = count;
    return all;
  }
  Result<ToneAnswer> tone_of_name(const std::string& name, const std::string& keep_as) const {
    ToneRequest request;
    request.sources.files = {name};
    request.viewing.lights = {"D50", "LED-B1"};
    return kept(tone, request, {path, entry(), keep_as, "chart", ""});
  }
  std::unique_ptr<record::Store> store() const { return *open_record(path, Opening::must_exist); }
};

/// The files below a folder with their bytes.
std::map<std::string, std::string> everything_in(const std::filesystem::path& folder) {
  std::map<std::string, std::string> all;
  for (const auto& one : std::filesystem::recursive_directory_iterator(folder))
    if (one.is_regular_file())
      all[std::filesystem::relative(one.path(), folder).string()] = contents(one.path().string());
  return all;
}

TEST(Record, ImportsRawReadingsAndTheirMeansLinkedByName) {
  const Lab lab;
  auto counts = lab.counts();
  EXPECT_EQ(counts["reading"], 4);
  EXPECT_EQ(counts["file"], 2);
  EXPECT_EQ(counts["mean"], 1);
  const auto store = lab.store();
  const auto readings = record::current<record::KeptReading>(*store);
  EXPECT_TRUE((*readings)[0].value.spot) << "margin is the spot of that name";
  EXPECT_FALSE((*readings)[2].value.spot) << "there is no spot 'sea'";
  EXPECT_TRUE((*readings)[2].value.sheet);
  EXPECT_FALSE((*readings)[3].value.sheet) << "a backing is no reading of the sheet";
  const auto means = record::current<record::Mean>(*store);
  EXPECT_EQ((*means)[0].value.of, (std::vector<record::Id>{1, 2}));
  EXPECT_NEAR((*means)[0].value.reading.spectrum->value[0], 0.405, 1e-15);
}

TEST(Record, TheSameFileTwiceChangesNothing) {
  const Lab lab;
  const auto before = lab.counts();
  std::filesystem::copy_file(lab.scratch.file("readings.csv"), lab.scratch.file("copy.csv"));
  const auto again = lab.import({"readings.csv", "copy.csv"});
  EXPECT_TRUE(again.files[0].already);
  EXPECT_TRUE(again.files[1].already) << "another name, the same bytes";
  EXPECT_EQ(again.files[0].readings, 3u);
  EXPECT_EQ(lab.counts(), before);
}

/// One file that cannot be understood, and nothing of the others is kept either.
TEST(Record, AnImportIsAllOrNothing) {
  const Lab lab;
  const auto before = lab.counts();
  write_contents(lab.scratch.file("good.csv"), std::string(readings_csv) + "\n# other bytes\n");
  write_contents(lab.scratch.file("bad.csv"), "this is no reading\n");
  ImportRequest request;
  request.record = lab.path;
  request.entry = entry();
  request.files = {lab.scratch.file("good.csv"), lab.scratch.file("bad.csv")};
  EXPECT_FALSE(record_import(request));
  EXPECT_EQ(lab.counts(), before);
}

TEST(Record, OnlyNewMakesARecord) {
  const Scratch scratch;
  write_contents(scratch.file("readings.csv"), readings_csv);
  ImportRequest request;
  request.record = scratch.file("new.record");
  request.entry = entry();
  request.files = {scratch.file("readings.csv")};
  const auto imported = record_import(request);
  ASSERT_FALSE(imported);
  EXPECT_EQ(imported.error().code, ErrorCode::outside_world);
  EXPECT_FALSE(record_keep({request.record, entry(), "sheet", {{"name", "chart"}}, ""}));
  EXPECT_FALSE(std::filesystem::exists(request.record));
  ASSERT_TRUE(record_new({request.record}));
  EXPECT_TRUE(record_import(request));
  EXPECT_FALSE(record_new({request.record})) << "never over another";
}

/// Two people have one thing before them; the second is told, and nothing of hers overwrites.
TEST(Record, TheSecondWhoCorrectsIsTold) {
  const Lab lab;
  const auto before = record_history({lab.path, "sheet", "chart"});
  ASSERT_TRUE(before);
  const record::Id seen = before->things.back().row;
  KeepRequest first{lab.path, entry("measured"), "sheet", {{"width_mm", "612"}}, "chart", seen};
  first.entry.who = "B. Other";
  ASSERT_TRUE(record_keep(first));
  KeepRequest second{lab.path, entry("measured too"), "sheet", {{"width_mm", "631"}}, "chart",
                     seen};
  const auto told = record_keep(second);
  ASSERT_FALSE(told);
  EXPECT_EQ(told.error().where, "seen_row");
  EXPECT_NE(told.error().message.find("B. Other"), std::string::npos) << told.error().text();
  const auto after = record_history({lab.path, "sheet", "chart"});
  EXPECT_EQ(after->things.size(), before->things.size() + 1);
  second.seen_row = after->things.back().row;
  EXPECT_TRUE(record_keep(second)) << "once she has seen it";
}

/// Stage and place of many readings are one correction: one entry, all of them or none.
TEST(Record, ManyReadingsAreCorrectedAsOne) {
  const Lab lab;
  const auto store = open_record(lab.path, Opening::must_exist);
  const auto entries = *(*store)->last_entry();
  const auto done = record_correct_all(
      {lab.path, entry("forgotten"), "reading", {}, "readings.csv", {{"stage", "after bath 1"}}});
  ASSERT_TRUE(done) << done.error().text();
  EXPECT_EQ(done->ids.size(), 3u);
  for (const auto& kept : *record::current<record::KeptReading>(**store)) {
    const bool of_file = kept.value.reading.name != "white tile";
    EXPECT_EQ(kept.value.stage, of_file ? "after bath 1" : "before");
  }
  const auto means = record::current<record::Mean>(**store);
  ASSERT_EQ(means->size(), 1u) << "that of the margin, kept up with its readings";
  EXPECT_EQ(means->front().value.stage, "after bath 1");
  EXPECT_EQ(means->front().value.of.size(), 2u);
  EXPECT_LE(*(*store)->last_entry(), entries + 2) << "the readings, and their means";
  const auto refused = record_correct_all(
      {lab.path, entry("x"), "reading", {"#1", "#99"}, "", {{"stage", "after"}}});
  EXPECT_FALSE(refused);
  EXPECT_EQ(record::get<record::KeptReading>(**store, 1)->value.stage, "after bath 1");
}

TEST(Record, TheHeadStandsInBackupAndExportAndIsHeldAgainstTheRecord) {
  const Lab lab;
  const std::string backup = lab.scratch.file("backup"), folder = lab.scratch.file("folder");
  const auto kept = record_backup({lab.path, backup});
  ASSERT_TRUE(kept) << kept.error().text();
  const auto exported = record_export({lab.path, folder});
  ASSERT_TRUE(exported);
  EXPECT_EQ(exported->head, kept->head);
  EXPECT_EQ(contents(folder + "/head.txt"), kept->head + "\n");
  EXPECT_EQ(record_show({lab.path, ""})->head, kept->head);
  lab.keep("note", {{"text", "later"}});
  const auto fits = recheck({lab.path, {}, {kept->head}});
  ASSERT_TRUE(fits) << fits.error().text();
  EXPECT_TRUE(has_answer(*fits)) << to_text(*fits);
  EXPECT_NE(fits->head, kept->head);
  const auto older = recheck({backup, {}, {fits->head}});
  ASSERT_TRUE(older);
  EXPECT_FALSE(has_answer(*older));
  EXPECT_NE(to_text(*older).find("older copy"), std::string::npos) << to_text(*older);
  EXPECT_FALSE(recheck({lab.path, {}, {"no head"}}));
}

/// A photograph's path may lead to a pipe by now: hashing it would wait for ever.
TEST(Record, RecheckOpensRegularFilesOnlyAndCanBeStopped) {
  const Lab lab;
  const std::string picture = lab.scratch.file("picture.png");
  write_contents(picture, std::string(3 << 20, 'x'));
  lab.keep("photograph", {{"name", "before"}, {"sheet", "chart"}, {"path", picture}});
  EXPECT_FALSE(record_keep({lab.path,
                            entry(),
                            "photograph",
                            {{"name", "itself"}, {"sheet", "chart"}, {"path", lab.path}},
                            ""}))
      << "the record is no photograph, and is not read by hand";
  EXPECT_TRUE(has_answer(*recheck({lab.path})));
  std::filesystem::remove(picture);
  ASSERT_EQ(::mkfifo(picture.c_str(), 0600), 0);
  const auto checked = recheck({lab.path});
  ASSERT_TRUE(checked);
  ASSERT_EQ(checked->disagreements.size(), 1u);
  EXPECT_NE(checked->disagreements.front().now.find("a pipe"), std::string::npos);
  // However soon or late it is asked to end, it ends with that.
  for (int steps = 0;; ++steps) {
    int asked = 0;
    const auto ended = recheck({lab.path, [&](double) -> Result<void> {
                                  if (asked++ < steps) return {};
                                  return outside_world("stopped by you");
                                }});
    if (asked <= steps) break;
    ASSERT_FALSE(ended);
    EXPECT_EQ(ended.error().message, "stopped by you");
    ASSERT_LT(steps, 1000);
  }
}

TEST(Record, ThingsAreWrittenAsAPersonWrites) {
  const Lab lab;
  lab.keep("tissue", {{"name", "kozo 12"}, {"left_cm2", "480"}});
  lab.keep("photograph",
           {{"name", "before"}, {"sheet", "chart"}, {"path", lab.scratch.file("readings.csv")}});
  lab.keep("loss", {{"name", "corner"},
                    {"photograph", "before"},
                    {"sheet", "chart"},
                    {"nature", "loss"},
                    {"outline", "10,10 60,10 60.5,60; 20,20 30,20 30,30"}});
  lab.keep("recipe", {{"name", "corner wash"},
                      {"loss", "chart/corner"},
                      {"tissue", "kozo 12"},
                      {"loads", "ochre=0.4, carbon black=0.05"},
                      {"load_unit", "g_m2"}});
  const auto store = lab.store();
  const auto loss = record::current<record::Loss>(*store)->front();
  EXPECT_EQ(loss.value.outline.size(), 2u);
  EXPECT_EQ(loss.value.outline[0][2], (record::Corner{60.5, 60}));
  const auto recipe = record::current<record::Recipe>(*store)->front();
  EXPECT_EQ(recipe.value.loads,
            (std::map<std::string, double>{{"carbon black", 0.05}, {"ochre", 0.4}}));
  EXPECT_EQ(recipe.value.loss, loss.id);
  EXPECT_EQ(record::current<record::Photograph>(*store)->front().value.sha256.size(), 64u);
}

TEST(Record, RefusalsSayWhatIsThere) {
  const Lab lab;
  const auto refused =
      record_keep({lab.path, entry(), "spot", {{"name", "x"}, {"sheet", "chrat"}}, ""});
  ASSERT_FALSE(refused);
  EXPECT_NE(refused.error().message.find("it has chart"), std::string::npos)
      << refused.error().text();
  const auto column = record_keep({lab.path, entry(), "sheet", {{"colour", "x"}}, ""});
  EXPECT_NE(column.error().message.find("object_id"), std::string::npos);
  const auto words = record_keep(
      {lab.path, entry(), "loss", {{"name", "x"}, {"sheet", "chart"}, {"nature", "hole"}}, ""});
  EXPECT_NE(words.error().message.find("loss, tear"), std::string::npos);
}

TEST(Record, ACorrectionChangesOnlyWhatIsSaid) {
  const Lab lab;
  const auto corrected =
      record_keep({lab.path, entry("typing slip"), "sheet", {{"object_id", "KB-1894-4"}}, "chart"});
  ASSERT_TRUE(corrected) << corrected.error().text();
  const auto past = record_history({lab.path, "sheet", "chart"});
  ASSERT_EQ(past->things.size(), 2u);
  EXPECT_EQ(past->things[1].entry.why, "typing slip");
  EXPECT_EQ(lab.store()->count("sheet").value(), 1);
  EXPECT_EQ(record_find({lab.path, {"kb-1894-4"}})->things.size(), 1u);
  EXPECT_EQ(record_find({lab.path, {"kb-1894-3"}})->things.size(), 0u) << "no longer current";
}

/// A name of the record is as good as its file, and its backing is found in the record too.
TEST(Record, NamesOfTheRecordAreInputs) {
  const Lab lab;
  const auto by_file = load({{lab.scratch.file("readings.csv")}, {}}, lab.path);
  ASSERT_TRUE(by_file);
  EXPECT_EQ(by_file->readings.size(), 4u) << "with the backing that only the record holds";
  for (const char* name : {"chart/margin", "margin", "chart/margin@before"}) {
    const auto by_name = load({{name}, {}}, lab.path);
    ASSERT_TRUE(by_name) << name << ": " << by_name.error().text();
    EXPECT_EQ(by_name->readings.size(), 3u) << name << ": two repeats and their backing";
    EXPECT_EQ(by_name->readings[1].spectrum->value, by_file->readings[1].spectrum->value);
  }
  EXPECT_EQ(load({{"chart"}, {}}, lab.path)->readings.size(), 4u);
  const auto none = load({{"magrin"}, {}}, lab.path);
  ASSERT_FALSE(none);
  EXPECT_EQ(none.error().code, ErrorCode::outside_world);
  EXPECT_NE(none.error().message.find("margin"), std::string::npos) << none.error().text();
}

TEST(Record, ResultsAreKeptAndAgreeWhenComputedAgain) {
  const Lab lab;
  ASSERT_TRUE(lab.tone_of_name("chart/margin", "margin before"));
  ASSERT_TRUE(lab.tone_of_name(lab.scratch.file("readings.csv"), ""));
  // What it was computed from is in the record, so the file may go.
  std::filesystem::remove(lab.scratch.file("readings.csv"));
  const auto checked = recheck({lab.path});
  ASSERT_TRUE(checked) << checked.error().text();
  EXPECT_TRUE(has_answer(*checked)) << to_text(*checked);
  EXPECT_EQ(checked->results, 2u);
  EXPECT_GT(checked->figures, 50u);
  EXPECT_EQ(checked->readings, 4u);
  EXPECT_EQ(checked->means, 1u);
  const auto kept = record::current<record::Computation>(*lab.store());
  EXPECT_EQ((*kept)[0].value.name, "margin before");
  EXPECT_TRUE((*kept)[0].value.sheet);
  EXPECT_NE((*kept)[0].value.tables.find("cie-observers-1nm.csv"), std::string::npos);
}

/// One figure in the last place that a reader sees, one mean, one photograph: each is named.
/// A corrected or withdrawn repeat goes out of its mean, and the mean says why.
TEST(Record, MeansFollowTheirReadings) {
  const Lab lab;
  const auto means = [&] { return *record::current<record::Mean>(*lab.store()); };
  ASSERT_EQ(means().size(), 1u);
  const auto stated =
      record_keep({lab.path, entry("the film lay askew"), "reading", {{"condition", "M1"}}, "#1"});
  ASSERT_TRUE(stated) << stated.error().text();
  EXPECT_TRUE(means().empty()) << "one M1 and one unstated are no repeats of one another";
  EXPECT_TRUE(has_answer(*recheck({lab.path})));

  write_contents(lab.scratch.file("more.csv"),
                 "name,repeat,role,backing,scale,400,450,500,550,600,650,700\n"
                 "title,1,target,white tile,fraction,0.40,0.48,0.55,0.61,0.66,0.69,0.71\n"
                 "title,2,target,white tile,fraction,0.41,0.49,0.56,0.62,0.67,0.70,0.72\n"
                 "title,3,target,white tile,fraction,0.60,0.70,0.75,0.80,0.85,0.90,0.91\n");
  lab.import({"more.csv"});
  ASSERT_EQ(means().size(), 1u);
  ASSERT_TRUE(record_withdraw({lab.path, entry("slipped"), "reading", "#8"}));
  ASSERT_EQ(means().size(), 1u);
  EXPECT_EQ(means()[0].value.of, (std::vector<record::Id>{6, 7}));
  EXPECT_NEAR(means()[0].value.reading.spectrum->value[0], 0.405, 1e-15);
  EXPECT_NE(means()[0].entry.why.find("slipped"), std::string::npos);
  EXPECT_TRUE(has_answer(*recheck({lab.path})));
}

TEST(Record, RecheckNamesWhatNoLongerAgrees) {
  const Lab lab;
  ASSERT_TRUE(lab.tone_of_name("margin", "doctored"));
  write_contents(lab.scratch.file("photo.tif"), "first");
  lab.keep("photograph",
           {{"name", "p"}, {"sheet", "chart"}, {"path", lab.scratch.file("photo.tif")}});
  auto store = lab.store();
  auto kept = record::current<record::Computation>(*store)->front();
  const auto digit = kept.value.result.find("\"spread_de00\": ") + 18;
  kept.value.result[digit] = kept.value.result[digit] == '1' ? '2' : '1';
  ASSERT_TRUE(record::correct(*store, kept.id, kept.value, entry("doctored by the test")));
  auto mean = record::current<record::Mean>(*store)->front();
  mean.value.reading.spectrum->value[0] += 1e-6;
  ASSERT_TRUE(record::correct(*store, mean.id, mean.value, entry("doctored by the test")));
  write_contents(lab.scratch.file("photo.tif"), "retouched");
  const auto checked = recheck({lab.path});
  ASSERT_TRUE(checked);
  EXPECT_FALSE(has_answer(*checked));
  const std::string text = to_text(*checked);
  for (const char* word : {"spread_de00", "mean #1 'margin', factor", "photograph #1 'p', sha256"})
    EXPECT_NE(text.find(word), std::string::npos) << word << "\n" << text;
  EXPECT_EQ(checked->disagreements.size(), 3u) << text;
}

TEST(Record, ExportRestoreExportIsByteEqual) {
  const Lab lab;
  ASSERT_TRUE(lab.tone_of_name("margin", "with \"quotes\", commas; and signs"));
  lab.keep("note", {{"text", "two lines,\nand \"quotes\""}, {"sheet", "chart"}});
  ASSERT_TRUE(record_keep({lab.path, entry("slip"), "sheet", {{"width_mm", "612.3"}}, "chart"}));
  lab.keep("spot", {{"name", "wrong"}, {"sheet", "chart"}});
  ASSERT_TRUE(record_withdraw({lab.path, entry("twice"), "spot", "wrong"}));
  const std::string one = lab.scratch.file("one"), two = lab.scratch.file("two");
  const std::string second = lab.scratch.file("second.record");
  const auto exported = record_export({lab.path, one});
  ASSERT_TRUE(exported) << exported.error().text();
  const auto restored = record_restore({one, second});
  ASSERT_TRUE(restored) << restored.error().text();
  ASSERT_TRUE(record_export({second, two}));
  const auto before = everything_in(one), after = everything_in(two);
  EXPECT_GT(before.size(), 20u);
  EXPECT_EQ(before, after);
  EXPECT_TRUE(has_answer(*recheck({second})));
  EXPECT_FALSE(record_export({lab.path, one})) << "never into a folder that holds something";
  EXPECT_FALSE(record_restore({one, second})) << "never over a record";
  // A changed file is found by its hash, and nothing is made of it.
  write_contents(one + "/tables/sheet.csv", before.at("tables/sheet.csv") + " ");
  const auto refused = record_restore({one, lab.scratch.file("third.record")});
  ASSERT_FALSE(refused);
  EXPECT_FALSE(std::filesystem::exists(lab.scratch.file("third.record")));
}

}  // namespace
}  // namespace mendtone::app::record_test
