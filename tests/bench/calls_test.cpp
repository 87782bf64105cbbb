#include "bench/calls.hpp"

#include <filesystem>

#include "bench/turn.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/app/tissue/tissue.hpp"

namespace mendtone::bench {

void Calls::open_record(const std::string& path) {
  ASSERT_TRUE(mendtone::open_record(path, Opening::create_if_missing));
}

}  // namespace mendtone::bench

namespace mendtone::bench::calls_test {
namespace {

class BenchCalls : public ::testing::Test {
 protected:
  Scratch scratch;
  Calls bench{scratch / "a.record"};

  void SetUp() override { bench.keep("sheet", {{"name", "chart"}}); }

  void enter(const std::string& file, const std::string& more = {}) {
    bench.send("/api/readings?by=K&name=" + file + more, kestrel_bay(file));
  }
  std::int64_t count(const std::string& kind) {
    const Json record = bench.get("/api/record");
    for (const Json& one : record["counts"])
      if (one["kind"] == kind) return one["count"];
    return -1;
  }
};

TEST_F(BenchCalls, TheRecordSaysWhatThereIsAndWhatCanBeEntered) {
  const Json record = bench.get("/api/record");
  EXPECT_EQ(record["program_version"], "mendtone test");
  EXPECT_EQ(record["things"][0]["columns"]["name"], "chart");
  std::map<std::string, Json> kinds;
  for (const Json& kind : record["kinds"]) kinds[kind["kind"]] = kind;
  EXPECT_TRUE(kinds["loss"]["by_hand"]);
  EXPECT_FALSE(kinds["reading"]["by_hand"]);
  std::map<std::string, Json> columns;
  for (const Json& column : kinds["loss"]["columns"]) columns[column["name"]] = column;
  EXPECT_EQ(columns["sheet"]["links_to"], "sheet");
  EXPECT_EQ(columns["sheet"]["form"], "link");
  EXPECT_TRUE(columns["name"]["needed"]);
  EXPECT_EQ(columns["outline"]["form"], "outline");
  EXPECT_EQ(columns["nature"]["one_of"], Json({"loss", "tear"}));
  EXPECT_EQ(record["lights"][4], "D65");
}

TEST_F(BenchCalls, AnEntryNeedsWhoMakesIt) {
  const Json entry{{"kind", "sheet"}, {"columns", {{"name", "second"}}}};
  EXPECT_EQ(bench.status("/api/keep", entry), 400);
  EXPECT_EQ(count("sheet"), 1);
}

TEST_F(BenchCalls, ACorrectionLeavesOutWhatStandsAlready) {
  bench.keep("loss", {{"name", "loss 1"},
                      {"nature", "loss"},
                      {"sheet", "chart"},
                      {"area_cm2", "7.50"},
                      {"outline", "1,1 9,1 9,9"}});
  Json whole{{"kind", "loss"},
             {"thing", "chart/loss 1"},
             {"by", "K"},
             {"why", "measured again"},
             {"columns",
              {{"name", "loss 1"},
               {"sheet", "#1"},
               {"area_cm2", 7.5},
               {"outline", {{{1, 1}, {9, 1}, {9, 9}}}},
               {"place", ""}}}};
  EXPECT_EQ(bench.status("/api/keep", whole), 400);
  whole["columns"]["area_cm2"] = "8";
  EXPECT_TRUE(bench.post("/api/keep", whole)["corrected"]);
  const Json past = bench.get("/api/history?kind=loss&thing=chart/loss%201");
  ASSERT_EQ(past["things"].size(), 2u);
  EXPECT_EQ(past["things"][1]["columns"]["area_cm2"], 8);
  EXPECT_EQ(past["things"][1]["entry"]["why"], "measured again");
  whole.erase("why");
  whole["columns"]["area_cm2"] = "9";
  EXPECT_EQ(bench.status("/api/keep", whole), 400);
}

TEST_F(BenchCalls, WhatOnlyTheProgramEntersIsRefused) {
  const auto refused = [&](const char* kind, const Json& columns) {
    EXPECT_EQ(bench.status("/api/keep", {{"kind", kind}, {"columns", columns}, {"by", "K"}}), 400)
        << kind;
  };
  refused("reading", {{"name", "x"}});
  refused("computation", {{"name", "x"}, {"verb", "tone"}});
  refused("nothing", {{"name", "x"}});
  refused("photograph", {{"sheet", "chart"}, {"name", "x"}, {"path", "/etc/passwd"}});
  refused("lamp", {{"name", "gallery"}, {"power", "/etc/passwd"}});
  refused("sheet", {{"name", Json::array({true})}, {"nothing", "x"}});
  EXPECT_EQ(bench.status("/api/keep", Json::array()), 400);
}

TEST_F(BenchCalls, ALampComesAsItsLines) {
  std::string lines = "nm,power\n";  // a lamp's bands lie at most 20 nm apart
  for (int nm = 400; nm <= 700; nm += 20)
    lines += std::to_string(nm) + "," + std::to_string(std::min(nm / 100.0 - 3, 3.0)) + "\n";
  bench.keep("lamp", {{"name", "gallery"}, {"power", lines}});
  const Json colours =
      bench.post("/api/colours", {{"labs", {{100, 0, 0}, {60, 120, 0}}}, {"light", "gallery"}});
  EXPECT_EQ(colours["colours"][0]["css"], "rgb(255,255,255)");
  EXPECT_FALSE(colours["colours"][0]["outside"]);
  EXPECT_TRUE(colours["colours"][1]["outside"]);
  EXPECT_EQ(bench.status("/api/colours", {{"labs", {{1, 2}}}}), 400);
  EXPECT_EQ(bench.status("/api/colours", {{"labs", {{1, 2, 1e9}}}}), 400);
  EXPECT_EQ(bench.status("/api/colours", {{"labs", Json::array()}, {"light", "/etc/passwd"}}), 400);
}

std::string percent_encoded(const std::string& text) {
  constexpr const char* digits = "0123456789ABCDEF";
  std::string out;
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    out += {'%', digits[byte >> 4], digits[byte & 15]};
  }
  return out;
}

/// Three rows of an instrument whose names say nothing.
const std::string numbered_rows =
    "name,light,observer,L*,a*,b*\nP1,D50,2,85.0,2.0,13.0\nP2,D50,2,85.2,2.1,13.1\n"
    "P3,D50,2,71.0,2.0,13.0\n";

/// What she says of rows is kept with them; what the file said stays readable, and is rechecked.
TEST_F(BenchCalls, WhatIsSaidOfRowsIsKeptWithThem) {
  bench.keep("loss", {{"name", "corner"}, {"nature", "loss"}, {"sheet", "chart"}});
  const Json said{{{"rows", "0-1"},
                   {"columns",
                    {{"name", "corner"},
                     {"role", "target"},
                     {"backing", "board"},
                     {"loss", "corner"},
                     {"stage", "before"}}}},
                  {{"rows", "2"}, {"left_out", "a slip"}}};
  const std::string call = "/api/readings?by=K&name=a.csv&sheet=chart&said=";
  bench.send(call + percent_encoded(said.dump()), numbered_rows);
  const Json sheet = bench.get("/api/sheet?name=chart");
  std::size_t readings = 0, means = 0;
  for (const Json& thing : sheet["things"]) {
    if (thing["kind"] == "mean") ++means;
    if (thing["kind"] != "reading") continue;
    ++readings;
    EXPECT_EQ(thing["columns"]["name"], "corner");
    EXPECT_EQ(thing["columns"]["stage"], "before");
    EXPECT_EQ(thing["links"]["loss"], "corner");
  }
  EXPECT_EQ(readings, 2u);
  EXPECT_EQ(means, 1u) << "rows that were said to be one place are repeats";
  const Json past = bench.get("/api/history?kind=reading&thing=%231");
  ASSERT_EQ(past["things"].size(), 2u);
  EXPECT_EQ(past["things"][0]["columns"]["name"], "P1");
  EXPECT_TRUE(bench.job("recheck", Json::object())["result"]["answered"]);

  const auto refused = [&](const Json& rows) {
    return bench.call("POST", call + percent_encoded(rows.dump()), numbered_rows + "#again\n")
        .status;
  };
  EXPECT_EQ(refused({{{"rows", "7"}, {"left_out", "a slip"}}}), 400) << "there is no row 8";
  EXPECT_EQ(refused({{{"rows", "0"}, {"columns", {{"factor", "1"}}}}}), 400);
  EXPECT_EQ(refused({{{"rows", "0"}, {"columns", {{"loss", "nowhere"}}}}}), 400);
  EXPECT_EQ(refused({{{"rows", "x"}, {"left_out", "a slip"}}}), 400);
  EXPECT_EQ(count("reading"), 2) << "nothing of what was refused is kept";
}

TEST_F(BenchCalls, ManyReadingsAreCorrectedAtOnce) {
  bench.send("/api/readings?by=K&name=a.csv&sheet=chart", numbered_rows);
  Json body{{"things", {"#1", "#2"}},
            {"columns", {{"stage", "after bath 1"}}},
            {"why", "forgotten"},
            {"by", "K"}};
  EXPECT_EQ(bench.post("/api/correct-all", body)["ids"].size(), 2u);
  const Json past = bench.get("/api/history?kind=reading&thing=%232");
  EXPECT_EQ(past["things"][1]["columns"]["stage"], "after bath 1");
  EXPECT_EQ(past["things"][1]["entry"]["why"], "forgotten");
  body["columns"] = {{"factor", "1"}};
  EXPECT_EQ(bench.status("/api/correct-all", body), 400) << "what was read stays as it was read";
  body["columns"] = {{"stage", "before"}};
  body["things"] = {"#1", "#99"};
  EXPECT_EQ(bench.status("/api/correct-all", body), 400);
  body["things"] = {1};
  EXPECT_EQ(bench.status("/api/correct-all", body), 400);
}

TEST_F(BenchCalls, RowsAreShownWithTheirColourAndWhetherTheyAgree) {
  const Json preview =
      bench.send("/api/readings/preview?name=a.csv&repeats=0-1%3B2", numbered_rows);
  ASSERT_EQ(preview["colours"].size(), 3u);
  EXPECT_EQ(preview["colours"][2]["name"], "2");
  EXPECT_EQ(preview["colours"][2]["lab"][0], 71);
  ASSERT_EQ(preview["groups"].size(), 2u);
  EXPECT_EQ(preview["groups"][0]["n"], 2);
  EXPECT_TRUE(preview["groups"][0]["spread_de00"].is_number());
  EXPECT_TRUE(preview["groups"][1]["spread_de00"].is_null());
  EXPECT_EQ(
      bench.call("POST", "/api/readings/preview?name=a.csv&repeats=0-9", numbered_rows).status,
      400);
}

TEST_F(BenchCalls, ReadingsAreLookedAtBeforeTheyAreKept) {
  const Json preview =
      bench.send("/api/readings/preview?name=before.csv", kestrel_bay("before.csv"));
  EXPECT_EQ(preview["readings"].size(), 20u);
  EXPECT_EQ(preview["readings"][0]["name"], "spot 1 sea");
  EXPECT_EQ(preview["tones"][0]["light"], "D65");
  EXPECT_EQ(count("reading"), 0);
  const Json kept = bench.send("/api/readings?name=before.csv&sheet=chart&stage=before&by=K",
                               kestrel_bay("before.csv"));
  EXPECT_EQ(kept["files"][0]["readings"], 20);
  EXPECT_EQ(count("reading"), 20);
  const Json again =
      bench.send("/api/readings?name=before.csv&sheet=chart&by=K", kestrel_bay("before.csv"));
  EXPECT_TRUE(again["files"][0]["already_kept"]);
  EXPECT_EQ(count("reading"), 20);
}

TEST_F(BenchCalls, ReadingsThatCannotBeUnderstoodLeaveNothing) {
  for (const char* path : {"/api/readings?name=x.csv&by=K", "/api/readings/preview?name=x.csv"})
    EXPECT_EQ(bench.call("POST", path, "name,nothing\na,1\n").status, 400) << path;
  for (const char* name : {"", "..", "a%2Fb.csv", "a%5Cb.csv"})
    EXPECT_EQ(
        bench
            .call("POST", std::string("/api/readings?by=K&name=") + name, kestrel_bay("before.csv"))
            .status,
        400)
        << name;
  EXPECT_EQ(bench
                .call("POST", "/api/readings?name=x.csv&by=K&scale=per%20mille",
                      kestrel_bay("before.csv"))
                .status,
            400);
  EXPECT_EQ(count("file"), 0);
}

TEST_F(BenchCalls, SheetAndSearchComeWithoutLongColumns) {
  enter("before.csv", "&sheet=chart&stage=before");
  bench.post("/api/compute?verb=tone&keep=tones&sheet=chart&by=K",
             {{"sources", {{"files", {"chart"}}}}});
  for (const char* path : {"/api/sheet?name=chart", "/api/find?words=tones", "/api/record"}) {
    const Json sheet = bench.get(path);
    for (const Json& thing : sheet["things"]) {
      EXPECT_FALSE(thing["columns"].contains("result")) << path;
      EXPECT_FALSE(thing["columns"].contains("factor")) << path;
    }
  }
  EXPECT_EQ(bench.call("GET", "/api/sheet?name=none").status, 400);
  EXPECT_EQ(bench.call("GET", "/api/sheet").status, 400);
}

/// The ranking that the page asks for, against the use-case on the files themselves.
TEST_F(BenchCalls, ARankingIsThatOfTheCommandLine) {
  enter("backings.csv");
  enter("drawer.csv");
  enter("chart.cgats", "&sheet=chart&stage=before");
  app::TissueRequest request;
  request.target = test::example("chart.cgats");
  request.target_name = "loss 1";
  request.tissues = {test::example("drawer.csv"), test::example("backings.csv")};
  request.over = "mount board";
  const auto expected = app::tissue(request);
  ASSERT_TRUE(expected) << expected.error().text();
  const Json parameters{{"target", "chart.cgats"},
                        {"target_name", "loss 1"},
                        {"tissues", {"drawer.csv", "backings.csv"}},
                        {"over", "mount board"}};
  for (const Json& result : {bench.post("/api/rank", {{"parameters", parameters}})["result"],
                             bench.post("/api/compute?verb=tissue", parameters)["result"]}) {
    ASSERT_EQ(result["candidates"].size(), expected->candidates.size());
    for (std::size_t i = 0; i < expected->candidates.size(); ++i) {
      EXPECT_EQ(result["candidates"][i]["tissue"], expected->candidates[i].tissue);
      // A record keeps repeats in another order of adding up.
      EXPECT_NEAR(result["candidates"][i]["de00"].get<double>(), expected->candidates[i].de00,
                  1e-9);
      EXPECT_EQ(result["candidates"][i]["worst_light"], expected->candidates[i].worst_light);
    }
  }
}

TEST_F(BenchCalls, ARankingSeesWhatWasEnteredMeanwhile) {
  enter("backings.csv");
  enter("chart.cgats", "&sheet=chart");
  bench.keep("tissue", {{"name", "kozo 17 plain"}});
  enter("drawer.csv");
  const Json ask{{"parameters",
                  {{"target", "chart.cgats"},
                   {"target_name", "loss 1"},
                   {"tissues", {"drawer"}},
                   {"over", "mount board"},
                   {"question", {{"trials", 0}, {"most_plies", 2}}}}}};
  const std::size_t before = bench.post("/api/rank", ask)["result"]["candidates"].size();
  bench.keep("tissue", {{"name", "kozo 17 other"}});
  std::string more = kestrel_bay("drawer.csv");
  const std::string plain = "kozo 17 plain";
  for (auto at = more.find(plain); at != std::string::npos; at = more.find(plain, at + 1))
    more.replace(at, plain.size(), "kozo 17 other");
  bench.send("/api/readings?name=second.csv&by=K", more);
  EXPECT_GT(bench.post("/api/rank", ask)["result"]["candidates"].size(), before);
}

TEST_F(BenchCalls, NamesNeverMeanFilesOfTheDisk) {
  const std::string path = test::example("before.csv");
  const Reply there =
      bench.call("POST", "/api/compute?verb=tone", Json{{"sources", {{"files", {path}}}}}.dump());
  const Reply absent = bench.call("POST", "/api/compute?verb=tone",
                                  Json{{"sources", {{"files", {path + "x"}}}}}.dump());
  EXPECT_EQ(there.status, 400);
  EXPECT_EQ(absent.status, 400);
  // The same words, so that nobody learns whether a file is there.
  EXPECT_EQ(Json::parse(there.body)["error"]["message"],
            Json::parse(absent.body)["error"]["message"]);
  EXPECT_EQ(bench.status("/api/compute?verb=tone",
                         {{"sources", {{"files", {"chart"}}}}, {"viewing", {{"lights", {path}}}}}),
            400);
}

TEST_F(BenchCalls, AResultIsKeptWhereAskedAndComputedAgain) {
  enter("before.csv", "&sheet=chart&stage=before");
  const Json parameters{{"sources", {{"files", {"chart"}}}}};
  EXPECT_FALSE(bench.post("/api/compute?verb=tone", parameters).contains("kept_id"));
  EXPECT_EQ(count("computation"), 0);
  const Json kept = bench.post("/api/compute?verb=tone&keep=&sheet=chart&by=K", parameters);
  const Json result = bench.get("/api/result/" + std::to_string(kept["kept_id"].get<int>()));
  EXPECT_EQ(result["verb"], "tone");
  EXPECT_EQ(result["result"], kept["result"]);
  EXPECT_EQ(result["parameters"]["sources"]["files"][0], "chart");
  const Json job = bench.job("recheck", Json::object());
  EXPECT_EQ(job["state"], "done");
  EXPECT_TRUE(job["result"]["answered"]);
  EXPECT_EQ(bench.call("GET", "/api/result/99").status, 404);
}

TEST_F(BenchCalls, JobsComputeInTheBackground) {
  enter("before.csv", "&sheet=chart");
  const Json job = bench.job("tone", {{"sources", {{"files", {"chart"}}}}}, "&keep=tones&by=K");
  EXPECT_EQ(job["state"], "done");
  EXPECT_GE(job["result"]["kept_id"], 1);
  const Json failed = bench.job("tone", {{"sources", {{"files", {"nothing"}}}}});
  EXPECT_EQ(failed["state"], "failed");
  EXPECT_NE(failed["error"]["message"], "");
  EXPECT_EQ(bench.get("/api/jobs")["jobs"].size(), 2u);
  EXPECT_EQ(bench.call("GET", "/api/jobs/99").status, 404);
  EXPECT_EQ(bench.call("DELETE", "/api/jobs/99").status, 404);
}

TEST_F(BenchCalls, ParametersThatCannotBeUnderstoodAreRefused) {
  for (const char* verb : {"tone", "tissue", "nothing", ""})
    for (const char* body : {"[]", "{", "{\"sources\":5,\"target\":5}", "\"x\"", ""})
      EXPECT_GE(bench.call("POST", std::string("/api/compute?verb=") + verb, body).status, 400)
          << verb << body;
  EXPECT_EQ(bench.status("/api/rank", {{"parameters", 5}}), 400);
  EXPECT_EQ(bench.status("/api/rank", {{"parameters", {{"target", 5}}}}), 400);
}

TEST_F(BenchCalls, WithdrawnThingsAreGoneButInTheHistory) {
  bench.keep("spot", {{"name", "sea"}, {"sheet", "chart"}});
  bench.post("/api/withdraw",
             {{"kind", "spot"}, {"thing", "chart/sea"}, {"why", "entered twice"}, {"by", "K"}});
  EXPECT_EQ(count("spot"), 0);
  EXPECT_EQ(bench.status("/api/withdraw", {{"kind", "spot"}, {"thing", "chart/sea"}, {"by", "K"}}),
            400);
}

TEST_F(BenchCalls, ThePageComesFromTheProgramAlone) {
  const Reply page = bench.call("GET", "/");
  EXPECT_EQ(page.status, 200);
  EXPECT_EQ(page.type, "text/html; charset=utf-8");
  EXPECT_EQ(bench.call("GET", "/CMakeLists.txt").status, 404);
  EXPECT_EQ(bench.call("GET", "/index.html").body, page.body);
}

TEST_F(BenchCalls, ASpotIsFollowedFromStageToStage) {
  bench.keep("spot", {{"name", "spot 2 tide line"}, {"sheet", "chart"}});
  bench.keep("instrument", {{"name", "hand-held"}, {"reproducibility_de00", "0.15"}});
  const Json ask{{"sheet", "chart"}, {"spot", "spot 2 tide line"}, {"light", "D65"}};
  EXPECT_EQ(bench.job("series", ask)["state"], "failed");
  enter("before.csv", "&sheet=chart&stage=before&instrument=hand-held");
  EXPECT_FALSE(bench.job("series", ask)["result"]["answered"]);
  enter("after.csv", "&sheet=chart&stage=after&instrument=hand-held");
  const Json series = bench.job("series", ask)["result"]["result"];
  ASSERT_EQ(series["points"].size(), 2u);
  EXPECT_EQ(series["points"][0]["de00"], 0);
  EXPECT_EQ(series["reproducibility_de00"], 0.15);
  // The same two stages by the command line's own use-case.
  Json difference = bench.post("/api/compute?verb=difference",
                               {{"before", {{"files", {"chart/spot 2 tide line@before"}}}},
                                {"after", {{"files", {"chart/spot 2 tide line@after"}}}},
                                {"settings", {{"reproducibility_de00", 0.15}}}});
  EXPECT_NEAR(series["points"][1]["de00"].get<double>(),
              difference["result"]["pairs"][0]["de00"].get<double>(), 1e-9);
  EXPECT_EQ(series["points"][1]["verdict"], difference["result"]["pairs"][0]["verdict"]);
}

TEST_F(BenchCalls, TheReportIsMadeAndServedFileByFile) {
  EXPECT_EQ(bench.call("GET", "/api/report/chart/report.html").status, 404);
  enter("before.csv", "&sheet=chart&stage=before");
  const Json job = bench.job("report", {{"sheet", "chart"}, {"title", "Kestrel Bay"}}, "&by=K");
  ASSERT_EQ(job["state"], "done") << job.dump();
  for (const Json& file : job["result"]["result"]["files"]) {
    const Reply reply = bench.call("GET", "/api/report/chart/" + file.get<std::string>());
    EXPECT_EQ(reply.status, 200) << file;
    EXPECT_EQ(reply.document, file == "report.html") << file;
  }
  EXPECT_NE(bench.call("GET", "/api/report/chart/report.html").body.find("Kestrel Bay"),
            std::string::npos);
  for (const char* none : {"/api/report/none/report.html", "/api/report/chart/x",
                           "/api/report/chart/..%2f..%2fa.record", "/api/report/%2e%2e/a.record"})
    EXPECT_EQ(bench.call("GET", none).status, 404) << none;
  EXPECT_EQ(bench.status("/api/jobs?verb=report", {{"sheet", "none"}}), 400);
}

TEST_F(BenchCalls, ALookAtAFileTakesItsTurn) {
  const std::string path = "/api/readings/preview?name=a.csv";
  EXPECT_EQ(bench.call("POST", path, kestrel_bay("drawer.csv")).status, 200);
  bench.desk.computing = most_computing;
  EXPECT_EQ(bench.call("POST", path, kestrel_bay("drawer.csv")).status, 503);
  bench.desk.computing = 0;
}

}  // namespace
}  // namespace mendtone::bench::calls_test
