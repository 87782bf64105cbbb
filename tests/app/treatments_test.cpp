#include <gtest/gtest.h>

#include <map>
#include <nlohmann/json.hpp>
#include <set>

#include "adapters/record_samples.hpp"
#include "adapters/scratch.hpp"
#include "app/examples.hpp"
#include "long_runs.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/app/record/keep.hpp"
#include "mendtone/app/record/recheck.hpp"
#include "mendtone/app/record/record.hpp"
#include "mendtone/app/report/report.hpp"
#include "mendtone/app/tissue/tissue.hpp"
#include "mendtone/app/wash/colorant.hpp"
#include "mendtone/app/wash/correct.hpp"
#include "mendtone/app/wash/wash.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/base/random.hpp"
#include "mendtone/report/write.hpp"

// Whole treatments by chance, through the use-cases that both doors call: whatever was entered
// stands in the report, in its page and in `record show` as it was entered; no sentence denies it;
// and every figure can be computed again. A treatment that fails is cut down to its smallest part
// that fails.
namespace mendtone::app::treatments_test {
namespace {

using nlohmann::json;
using record::entry;
using test::example;

/// One press of a button. What it names are places in the list of losses that were entered.
struct Act {
  enum class What { loss, spot, test, bath, step, note, fill, ended, withdraw, rank, wash, trial };
  What what = What::note;
  std::size_t loss = 0;
  Written columns;
  std::string kind;  ///< of what is withdrawn
};

const char* name_of(Act::What what) {
  constexpr const char* names[] = {"loss", "spot",  "test",     "bath", "step", "note",
                                   "fill", "ended", "withdraw", "rank", "wash", "trial"};
  return names[static_cast<int>(what)];
}

std::string text_of(const std::vector<Act>& acts) {
  std::string text;
  for (const Act& act : acts) {
    text += std::string("  ") + name_of(act.what) + " " + std::to_string(act.loss) + act.kind;
    for (const auto& [column, value] : act.columns) text += " " + column + "=[" + value + "]";
    text += "\n";
  }
  return text;
}

/// Draws treatments.
class Chance {
 public:
  explicit Chance(std::uint64_t seed) : random_(20261127, seed) {}

  std::vector<Act> treatment() {
    std::vector<Act> acts;
    const std::size_t losses = 1 + random_.below(3);
    for (std::size_t i = 0; i < losses; ++i)
      acts.push_back({Act::What::loss,
                      i,
                      {{"name", words() + " " + std::to_string(i)},
                       {"nature", yes() ? "loss" : "tear"},
                       {"place", words()},
                       {"area_cm2", number()},
                       {"media_near", words()},
                       {"note", words()}},
                      {}});
    const std::size_t more = 4 + random_.below(10);
    for (std::size_t i = 0; i < more; ++i) acts.push_back(any(losses));
    return acts;
  }

 private:
  Act any(std::size_t losses) {
    const auto what = static_cast<Act::What>(1 + random_.below(11));
    Act act{what, random_.below(static_cast<std::uint32_t>(losses)), {}, {}};
    switch (what) {
      case Act::What::spot:
        act.columns = {{"name", words() + " " + number()}, {"place", words()}};
        break;
      case Act::What::test:
        act.columns = {{"tested", words()},
                       {"liquid", words()},
                       {"outcome", one_of({"unchanged", "changed", "unsure"})},
                       {"happened", words()},
                       {"place", words()}};
        break;
      case Act::What::bath:
        act.columns = {{"name", words() + " " + number()},
                       {"water", words()},
                       {"minutes", number()},
                       {"ph", one_of({"7", "6.85", "8.1"})},
                       {"volume_l", number()},
                       {"additive", words()},
                       {"note", words()}};
        break;
      case Act::What::step:
        act.columns = {{"name", words()},
                       {"standing", one_of({"owed", "done", "left open", "barred", "allowed"})},
                       {"reason", words()}};
        break;
      case Act::What::note:
        act.columns = {{"text", words()}};
        break;
      case Act::What::fill:
        act.columns = {{"name", words() + " " + number()},
                       {"tissue", one_of({"kozo 17 plain", "kozo 5 straw", "kozo 23 cream"})},
                       {"plies", one_of({"1", "2", "3", "4"})},
                       {"side", one_of({"back", "front"})},
                       {"verdict", one_of({"chosen", "chosen", "refused", "considered"})},
                       {"reasons", words()},
                       {"used_cm2", number()},
                       {"adhesive", words()},
                       {"over", one_of({"mount board", "black"})},
                       {"comes_off", words()},
                       {"edge", words()},
                       {"overlap_mm", number()}};
        if (yes()) act.columns.push_back({"computation", "ranking"});
        break;
      case Act::What::ended:
        act.columns = {{"ended", one_of({"filled", "left alone"})}, {"ended_why", words()}};
        break;
      case Act::What::withdraw:
        act.kind = one_of({"spot", "spot_test", "bath", "step", "note", "fill"});
        break;
      default:
        break;
    }
    return act;
  }

  bool yes() { return random_.below(2) == 1; }
  std::string one_of(std::vector<std::string> all) {
    return all[random_.below(static_cast<std::uint32_t>(all.size()))];
  }
  /// In shortest form, so that it is written as it is kept.
  std::string number() { return shortest(1 + random_.below(4000) / 8.0); }
  std::string words() {
    static const std::vector<std::string> all{"upper left, by the compass",
                                              "Riß am Rand",
                                              "欠損部の縁",
                                              "разрыв у края",
                                              "تمزق",
                                              "κάτω άκρη",
                                              "\"quoted\" & 'quoted'",
                                              "<b>not bold</b>",
                                              "a,b;c",
                                              "5 < 6 > 4",
                                              "wheat paste 1:3",
                                              "&amp; is no ampersand",
                                              "=SUM(A1)",
                                              "it drapes well; see note",
                                              "{\"json\": [1]}",
                                              "naïve — «so»",
                                              "0.50 as text",
                                              "no choice is recorded of the maker"};
    return all[random_.below(static_cast<std::uint32_t>(all.size()))];
  }

  CounterRandom random_;
};

/// What stands in the record, as it was typed.
struct Thing {
  std::string kind;
  record::Id id = 0;
  std::map<std::string, std::string> columns;
};

/// Text of a page, as a reader sees it.
std::string seen(const std::string& html) {
  std::string text;
  bool inside = false;
  for (const char c : html) {
    if (c == '<') inside = true;
    if (!inside) text += c;
    if (c == '>') {
      inside = false;
      text += ' ';
    }
  }
  for (const auto& [entity, plain] : {std::pair<std::string, std::string>{"&lt;", "<"},
                                      {"&gt;", ">"},
                                      {"&quot;", "\""},
                                      {"&#39;", "'"},
                                      {"&amp;", "&"}})
    for (std::size_t at = 0; (at = text.find(entity, at)) != std::string::npos; at += plain.size())
      text.replace(at, entity.size(), plain);
  return text;
}

/// A record with the house's drawer, stocks and one palette, made once; every treatment begins with
/// a copy of it.
class House {
 public:
  static const House& only() {
    static const House house;
    return house;
  }
  std::string copy(const Scratch& scratch) const {
    const std::string path = scratch.file("lab.record");
    EXPECT_TRUE(record_backup({path_, path}));
    return path;
  }

 private:
  House() : path_(scratch_.file("house.record")) {
    EXPECT_TRUE(new_record(path_));
    keep("sheet",
         {{"name", "chart"}, {"shown_over", "mount board"}, {"sizing", "gelatine <weak>"}});
    ImportRequest request;
    request.record = path_;
    request.entry = entry();
    request.new_tissues = true;
    for (const char* name : {"backings.csv", "drawer.csv", "ladders.csv"})
      request.files.push_back(example(name));
    EXPECT_TRUE(record_import(request));
    keep("dropper", {{"name", "glass"}, {"drop_ml", "0.049"}});
    for (const auto& [name, load] : {std::pair{"ochre 1:20", "ochre=0.03"},
                                     {"red earth 1:20", "red earth=0.028"},
                                     {"raw umber 1:20", "raw umber=0.026"},
                                     {"bone black 1:50", "bone black=0.01"},
                                     {"chalk 1:10", "chalk=0.06"}})
      keep("stock", {{"name", name}, {"dry_g_ml", load}, {"dropper", "glass"}});
    ColorantRequest palette;
    palette.sources.files = {"ladders.csv"};
    EXPECT_TRUE(kept(colorant, palette, {path_, entry(), "palette", "", ""}));
  }
  void keep(const std::string& kind, const Written& columns) const {
    const auto done = record_keep({path_, entry(), kind, columns, ""});
    EXPECT_TRUE(done) << done.error().text();
  }

  Scratch scratch_;
  std::string path_;
};

class Treatment {
 public:
  Treatment() : path_(House::only().copy(scratch_)) {}

  /// What is wrong, in words; empty: nothing.
  std::string play(const std::vector<Act>& acts) {
    for (const Act& act : acts)
      if (const std::string wrong = play(act); !wrong.empty()) return wrong;
    if (const std::string wrong = check_report(); !wrong.empty()) return wrong;
    if (const std::string wrong = check_show(); !wrong.empty()) return wrong;
    return check_again();
  }

 private:
  std::string play(const Act& act) {
    if (act.what == Act::What::loss) {
      Written columns = act.columns;
      columns.push_back({"sheet", "chart"});
      if (losses_.size() <= act.loss) losses_.resize(act.loss + 1);
      return keep("loss", columns, &losses_[act.loss]);
    }
    const bool needs_loss = act.what == Act::What::fill || act.what == Act::What::ended ||
                            act.what == Act::What::rank || act.what == Act::What::wash ||
                            act.what == Act::What::trial;
    if (needs_loss && (act.loss >= losses_.size() || losses_[act.loss] == 0)) return {};
    switch (act.what) {
      case Act::What::fill:
        return fill(act);
      case Act::What::ended:
        return ended(act);
      case Act::What::withdraw:
        return withdraw(act.kind);
      case Act::What::rank:
        return rank(act);
      case Act::What::wash:
        return wash_for(act);
      case Act::What::trial:
        return trial_of(act);
      default:
        break;
    }
    Written columns = act.columns;
    columns.push_back({"sheet", "chart"});
    static const std::map<Act::What, std::string> kinds{{Act::What::spot, "spot"},
                                                        {Act::What::test, "spot_test"},
                                                        {Act::What::bath, "bath"},
                                                        {Act::What::step, "step"},
                                                        {Act::What::note, "note"}};
    return keep(kinds.at(act.what), columns, nullptr);
  }

  std::string keep(const std::string& kind, const Written& columns, record::Id* id) {
    const auto done = record_keep({path_, entry(), kind, columns, ""});
    // A name that is taken is refused, and nothing was entered.
    if (!done && done.error().text().find("name") != std::string::npos) return {};
    if (!done) return kind + " was refused: " + done.error().text();
    Thing thing{kind, done->id, {}};
    for (const auto& [column, value] : columns) thing.columns[column] = value;
    things_.push_back(std::move(thing));
    if (id) *id = done->id;
    return {};
  }

  Thing* thing(const std::string& kind, record::Id id) {
    for (Thing& one : things_)
      if (one.kind == kind && one.id == id) return &one;
    return nullptr;
  }
  std::string loss_name(std::size_t loss) { return thing("loss", losses_[loss])->columns["name"]; }

  std::string fill(const Act& act) {
    Written columns;
    const std::string loss = "#" + std::to_string(losses_[act.loss]);
    for (const auto& [column, value] : act.columns)
      if (column != "computation")
        columns.push_back({column, value});
      else if (rankings_.count(losses_[act.loss]))
        columns.push_back({column, rankings_[losses_[act.loss]]});
    columns.push_back({"loss", loss});
    const std::size_t before = things_.size();
    if (const std::string wrong = keep("fill", columns, nullptr); !wrong.empty()) return wrong;
    if (things_.size() == before) return {};
    Thing& entered = things_.back();
    entered.columns["loss"] = loss_name(act.loss);
    if (entered.columns["verdict"] != "chosen") return {};
    for (Thing& other : things_)
      if (other.kind == "fill" && other.id != entered.id && other.columns["verdict"] == "chosen" &&
          other.columns["loss"] == entered.columns["loss"])
        other.columns["verdict"] = "considered";  // one choice a loss
    return {};
  }

  std::string ended(const Act& act) {
    const record::Id id = losses_[act.loss];
    const auto done =
        record_keep({path_, entry("it is over"), "loss", act.columns, "#" + std::to_string(id)});
    if (!done) return "an ending was refused: " + done.error().text();
    for (const auto& [column, value] : act.columns) thing("loss", id)->columns[column] = value;
    return {};
  }

  std::string withdraw(const std::string& kind) {
    for (std::size_t i = things_.size(); i-- > 0;) {
      if (things_[i].kind != kind) continue;
      const auto done = record_withdraw(
          {path_, entry("entered by mistake"), kind, "#" + std::to_string(things_[i].id)});
      if (!done) return kind + " could not be withdrawn: " + done.error().text();
      things_.erase(things_.begin() + static_cast<std::ptrdiff_t>(i));
      return {};
    }
    return {};
  }

  /// The paper around one loss is read: the first that is asked for.
  std::string read_paper(record::Id loss) {
    if (read_ != 0) return {};
    ImportRequest request;
    request.record = path_;
    request.entry = entry();
    request.files = {example("chart.cgats")};
    request.sheet = "chart";
    request.loss = "#" + std::to_string(loss);
    request.stage = "before";
    const auto done = record_import(request);
    if (!done) return "the readings were refused: " + done.error().text();
    read_ = loss;
    return {};
  }

  std::string rank(const Act& act) {
    if (const std::string wrong = read_paper(losses_[act.loss]); !wrong.empty()) return wrong;
    TissueRequest request;
    request.target = "chart/" + loss_name_of(read_);
    request.tissues = {"drawer"};
    request.question.trials = 0;
    rankings_[read_] = "ranking " + std::to_string(rankings_.size());
    const auto answer = kept(tissue, request, {path_, entry(), rankings_[read_], "", ""});
    return answer ? "" : "not ranked: " + answer.error().text();
  }

  std::string loss_name_of(record::Id id) { return thing("loss", id)->columns["name"]; }

  std::string wash_for(const Act& act) {
    if (const std::string wrong = read_paper(losses_[act.loss]); !wrong.empty()) return wrong;
    WashRequest request;
    request.target = "chart/" + loss_name_of(read_);
    request.on = "kozo 17 plain";
    request.palette = "palette";
    request.stocks = "stocks";
    request.pick_up_ml_m2 = 95;
    request.volume_ml = 60;
    request.area_m2 = 0.04;
    request.top = 2;
    request.at_most = 2;
    request.threads = 1;
    const std::string name = "wash " + std::to_string(++washes_);
    const auto answer = kept(wash, request, {path_, entry(), name, "", ""});
    if (!answer) return "no wash: " + answer.error().text();
    last_wash_ = *answer;
    return {};
  }

  /// The last wash is taken, tried, read and corrected, and the tissue toned with it chosen.
  std::string trial_of(const Act& act) {
    if (!last_wash_) return {};
    const std::string wash = "wash " + std::to_string(washes_);
    const std::string recipe = "recipe of " + wash + " (" + std::to_string(act.loss) + ")",
                      trial = "trial of " + recipe;
    if (std::string wrong = keep("recipe",
                                 {{"name", recipe},
                                  {"tissue", "kozo 17 plain"},
                                  {"computation", wash},
                                  {"number", "1"},
                                  {"note", "as computed"}},
                                 nullptr);
        !wrong.empty() || trials_.count(trial))
      return wrong;
    if (std::string wrong =
            keep("trial", {{"name", trial}, {"recipe", recipe}, {"note", "dipped"}}, nullptr);
        !wrong.empty())
      return wrong;
    trials_.insert(trial);
    write_trial();
    ImportRequest request;
    request.record = path_;
    request.entry = entry();
    request.files = {scratch_.file("trial.csv")};
    request.trial = trial;
    if (auto done = record_import(request); !done) return "trial refused: " + done.error().text();
    CorrectRequest correction;
    correction.recipe_file = wash;
    correction.trials.files = {trial};
    const auto answer = kept(correct, correction, {path_, entry(), "after " + trial, "", ""});
    if (!answer) return "no correction: " + answer.error().text();
    corrections_[trial] = answer->trial;
    return {};
  }

  /// A sheet a little darker than the board that it was read over.
  void write_trial() const {
    const results::WashPlan& plan = last_wash_->problem;
    std::string heading = "name,role,backing,state,scale",
                row = "first,trial,mount board,dry,fraction";
    const double share = 0.9 - 0.01 * static_cast<double>(trials_.size());
    for (std::size_t i = 0; i < plan.below.size(); ++i) {
      heading += "," + shortest(plan.palette.palette.grid.nm()[i]);
      row += "," + shortest(plan.below[i] * share);
    }
    write_contents(scratch_.file("trial.csv"), heading + "\n" + row + "\n");
  }

  std::string check_report() {
    ReportRequest request;
    request.record = path_;
    request.sheet = "chart";
    const auto content = report_content(request);
    if (!content) return "no report: " + content.error().text();
    const json told = json::parse(report::to_json(*content));
    const std::string page = seen(report::to_html(*content));
    for (const Thing& thing : things_)
      if (const std::string wrong = stands_in(told, page, thing); !wrong.empty()) return wrong;
    for (const char* kind :
         {"loss", "spot", "spot_test", "bath", "step", "note", "fill", "recipe", "trial"}) {
      const auto is_kind = [&](const json& one) { return one["kind"] == kind; };
      const auto in_report = std::count_if(told["entered"].begin(), told["entered"].end(), is_kind);
      const auto in_record = std::count_if(things_.begin(), things_.end(),
                                           [&](const Thing& one) { return one.kind == kind; });
      if (in_report != in_record)
        return std::to_string(in_record) + " of kind " + kind + " stand, the report has " +
               std::to_string(in_report);
    }
    if (static_cast<int>(told["recipes"].size()) < washes_) return "a wash is not in the report";
    for (const json& trial : told["trials"])
      if (const auto known = corrections_.find(trial["name"]); known != corrections_.end()) {
        const results::TrialRead& read = known->second;
        if (trial["de00_to_sheet"] != read.de00 || trial["de00_to_aim"] != read.aim_de00 ||
            trial["de00_to_prediction"] != read.predicted_de00)
          return "the report has other differences of '" + known->first + "'";
      }
    return check_decisions(told);
  }

  static std::string stands_in(const json& told, const std::string& page, const Thing& thing) {
    for (const json& one : told["entered"]) {
      if (one["kind"] != thing.kind) continue;
      bool all = true;
      for (const auto& [column, value] : thing.columns) {
        if (column == "sheet") continue;
        const json found = column == "name" ? one["name"] : one["facts"].value(column, json());
        all = all && found == value;
      }
      if (!all) continue;
      for (const auto& [column, value] : thing.columns)
        if (column != "sheet" && page.find(value) == std::string::npos)
          return "the page lacks " + thing.kind + " " + column + " [" + value + "]";
      return {};
    }
    return "report.json lacks the " + thing.kind + " #" + std::to_string(thing.id);
  }

  /// What the report says of decisions is what was decided.
  std::string check_decisions(const json& told) {
    const std::string unknown = told["not_known"].dump();
    for (const Thing& loss : things_) {
      if (loss.kind != "loss") continue;
      const std::string& name = loss.columns.at("name");
      const Thing* choice = nullptr;
      for (const Thing& fill : things_)
        if (fill.kind == "fill" && fill.columns.at("loss") == name &&
            fill.columns.at("verdict") == "chosen")
          choice = &fill;
      const bool denied =
          unknown.find(
              json("Which fill was taken for " + name + ": no choice is recorded.").dump()) !=
          std::string::npos;
      if (choice && denied) return "the report denies the choice for '" + name + "'";
      int chosen = 0;
      for (const json& fill : told["fills"]) {
        if (fill.value("loss", "") != name || !fill["chosen"].get<bool>()) continue;
        ++chosen;
        if (!choice) return "the report has a choice for '" + name + "' that nobody made";
        if (fill["tissue"] != choice->columns.at("tissue") ||
            fill["plies"].dump() != choice->columns.at("plies") ||
            fill["side"] != choice->columns.at("side") ||
            fill["entered"].value("adhesive", "") != choice->columns.at("adhesive"))
          return "the report's choice for '" + name + "' is not what was entered";
      }
      if (chosen != (choice ? 1 : 0))
        return "the report has " + std::to_string(chosen) + " choices for '" + name + "'";
    }
    return {};
  }

  std::string check_show() {
    const auto shown = record_show({path_, "chart"});
    if (!shown) return "not shown: " + shown.error().text();
    const std::string text = to_text(*shown);
    for (const Thing& thing : things_) {
      const auto one =
          std::find_if(shown->things.begin(), shown->things.end(),
                       [&](const Shown& s) { return s.kind == thing.kind && s.id == thing.id; });
      if (one == shown->things.end())
        return "record show lacks " + thing.kind + " #" + std::to_string(thing.id);
      for (const auto& [column, value] : thing.columns) {
        std::string found;
        for (const auto& [name, cell] : one->columns)
          if (name == column) found = record::text_of(cell);
        for (const auto& [name, linked] : one->links)
          if (name == column) found = linked;
        if (column != "sheet" && found != value)
          return "record show has " + column + " [" + found + "], entered was [" + value + "]";
        if (column != "sheet" && text.find(value) == std::string::npos)
          return "the text of record show lacks [" + value + "]";
      }
    }
    return {};
  }

  std::string check_again() const {
    const auto checked = recheck({path_});
    if (!checked) return "no recheck: " + checked.error().text();
    return checked->agrees ? "" : "recheck: " + to_text(*checked);
  }

  Scratch scratch_;
  std::string path_;
  std::vector<Thing> things_;
  std::vector<record::Id> losses_;
  record::Id read_ = 0;
  std::map<record::Id, std::string> rankings_;
  int washes_ = 0;
  std::optional<WashAnswer> last_wash_;
  std::set<std::string> trials_;
  std::map<std::string, results::TrialRead> corrections_;
};

std::string wrong_with(const std::vector<Act>& acts) {
  return Treatment().play(acts);
}

/// Leaves out whatever can be left out while it still goes wrong.
std::vector<Act> smallest(std::vector<Act> acts) {
  for (std::size_t i = 0; i < acts.size();) {
    std::vector<Act> fewer = acts;
    fewer.erase(fewer.begin() + static_cast<std::ptrdiff_t>(i));
    if (wrong_with(fewer).empty())
      ++i;
    else
      acts = std::move(fewer);
  }
  return acts;
}

TEST(Treatments, WhatWasEnteredIsWhatIsSaid) {
  const std::size_t treatments = test::count(500, 20);
  for (std::size_t seed = 0; seed < treatments; ++seed) {
    const std::vector<Act> acts = Chance(seed).treatment();
    if (wrong_with(acts).empty()) continue;
    const std::vector<Act> least = smallest(acts);
    FAIL() << "treatment " << seed << ": " << wrong_with(least) << "\n" << text_of(least);
  }
}

/// The check itself notices a fact that is not there.
TEST(Treatments, AFactThatIsMissingIsNoticed) {
  std::vector<Act> acts{{Act::What::loss, 0, {{"name", "loss 1"}, {"nature", "loss"}}, {}},
                        {Act::What::note, 0, {{"text", "dry and flat"}}, {}}};
  EXPECT_EQ(wrong_with(acts), "");
  ReportRequest request;
  Scratch scratch;
  request.record = House::only().copy(scratch);
  request.sheet = "chart";
  const auto content = report_content(request);
  ASSERT_TRUE(content);
  EXPECT_EQ(report::to_json(*content).find("dry and flat"), std::string::npos);
}

}  // namespace
}  // namespace mendtone::app::treatments_test
