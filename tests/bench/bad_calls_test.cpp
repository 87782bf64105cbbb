#include "bench/calls.hpp"
#include "mendtone/record/kinds.hpp"

// What the page cannot keep: each kind's columns by their own description, through the gate.
namespace mendtone::bench::bad_calls_test {
namespace {

std::vector<Json> not_held(const record::Column& column) {
  std::vector<Json> all;
  if (!column.links_to.empty()) return {"nobody has this name"};
  if (!column.one_of.empty()) return {"nonsense"};
  if (column.type != record::CellType::text) all.push_back("some");
  if (!column.limits.any()) {
    all.push_back("-40");
    if (column.limits.most < 1e5) all.push_back("99999999");
  }
  if (column.form == record::CellForm::loads) all.push_back("ochre=much");
  if (column.form == record::CellForm::outline) all.push_back("1,2 3,4");
  if (column.name == "name") all.push_back("   ");
  return all;
}

TEST(BadCalls, WhatAColumnCannotHoldIsRefusedAndNamed) {
  const Scratch scratch;
  Calls bench{scratch / "a.record"};
  bench.keep("sheet", {{"name", "chart"}});
  bench.keep("loss", {{"name", "loss 1"}, {"sheet", "chart"}, {"nature", "loss"}});
  bench.keep("tissue", {{"name", "kozo"}});
  bench.keep("recipe", {{"name", "by hand"}});
  const std::map<std::string, Json> needed{
      {"spot", {{"sheet", "chart"}}},
      {"loss", {{"sheet", "chart"}, {"nature", "loss"}}},
      {"trial", {{"recipe", "by hand"}}},
      {"fill", {{"loss", "loss 1"}, {"verdict", "refused"}}},
      {"bath", {{"sheet", "chart"}}},
      {"pickup", {{"tissue", "kozo"}, {"method", "bath"}, {"ml_m2", "90"}}},
      {"spot_test",
       {{"sheet", "chart"}, {"tested", "ink"}, {"liquid", "water"}, {"outcome", "unsure"}}},
      {"step", {{"sheet", "chart"}, {"standing", "owed"}}},
      {"offcut", {{"tissue", "kozo"}, {"adhesive", "paste"}, {"pasted_on", "blotter"}}}};
  const std::string before = bench.get("/api/record")["counts"].dump();
  std::size_t tried = 0;
  for (const char* name :
       {"sheet", "spot", "loss", "instrument", "tissue", "pickup", "colorant", "stock", "dropper",
        "recipe", "trial", "offcut", "fill", "bath", "spot_test", "step"})
    for (const record::Column& column : record::find_kind(name)->columns)
      for (const Json& text : not_held(column)) {
        Json columns = needed.count(name) ? needed.at(name) : Json::object();
        if (record::find_kind(name)->position("name") < record::find_kind(name)->columns.size())
          columns["name"] = "some name";
        columns[column.name] = text;
        const Json body{{"kind", name}, {"columns", columns}, {"by", "K"}};
        const Reply reply = bench.call("POST", "/api/keep", body.dump());
        EXPECT_EQ(reply.status, 400) << body << reply.body;
        const bool named = reply.body.find(column.name) != std::string::npos ||
                           reply.body.find("nobody has this name") != std::string::npos;
        EXPECT_TRUE(named) << body << reply.body;
        ++tried;
      }
  EXPECT_GE(tried, 80u);
  EXPECT_EQ(bench.get("/api/record")["counts"].dump(), before) << "nothing is kept";
}

TEST(BadCalls, QuestionsThatCannotBeAsked) {
  const Scratch scratch;
  Calls bench{scratch / "a.record"};
  for (const auto& [path, body] : std::vector<std::pair<std::string, std::string>>{
           {"/api/keep", "no json"},
           {"/api/keep", "[]"},
           {"/api/keep", R"({"kind":"king","columns":{},"by":"K"})"},
           {"/api/keep", R"({"kind":"sheet","columns":{"colour":"x"},"by":"K"})"},
           {"/api/keep", R"({"kind":"sheet","columns":{"name":"a"},"by":""})"},
           {"/api/withdraw", R"({"kind":"sheet","thing":"map","why":"x","by":"K"})"},
           {"/api/compute?verb=king", "{}"},
           {"/api/compute?verb=tone", R"({"sources":{"files":["nothing"]}})"},
           {"/api/compute?verb=tone", R"({"colour":1})"},
           {"/api/compute?verb=tissue", R"({"target":"a","tissues":["drawer"],"over":"b"})"},
           {"/api/compute?verb=wash", R"({"target":"a","on":"b","palette":"c"})"},
           {"/api/compute?verb=correct", R"({"recipe_file":"a","trials":{"files":["b"]}})"},
           {"/api/rank", R"({"parameters":{}})"}}) {
    const Reply reply = bench.call("POST", path, body);
    EXPECT_GE(reply.status, 400) << path << body;
    EXPECT_LT(reply.status, 500) << path << body << reply.body;
  }
}

}  // namespace
}  // namespace mendtone::bench::bad_calls_test
