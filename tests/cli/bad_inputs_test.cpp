#include <gtest/gtest.h>

#include <filesystem>
#include <functional>

#include "adapters/scratch.hpp"
#include "cli/typed.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/app/verb.hpp"
#include "mendtone/record/kinds.hpp"
#include "mendtone/results/options.hpp"

// One table of what must not come through, over all verbs: which exit code, which place or field is
// named, and that nothing was written. Rows that a description asks for (an option's words and
// bounds, a column's) are made from it; the rest is written by hand. How a refusal is worded is not
// tested here.
namespace mendtone::cli::bad_inputs_test {
namespace {

namespace fs = std::filesystem;
using Words = std::vector<std::string>;

struct Row {
  Words words;
  int exit = bad_data;
  std::string says;  ///< the place or field that standard error names
};

std::string spectra(const std::string& head, const std::vector<std::string>& rows) {
  std::string text = head;
  for (int nm = 380; nm <= 730; nm += 10) text += "," + std::to_string(nm);
  text += "\n";
  for (const std::string& row : rows) {
    const auto bar = row.find('|');
    text += row.substr(0, bar);
    for (int band = 0; band < 36; ++band) text += "," + row.substr(bar + 1);
    text += "\n";
  }
  return text;
}

class BadInputs : public ::testing::Test {
 protected:
  BadInputs() {
    write("lab.csv", "name,light,observer,L*,a*,b*\nmargin,D65,10,86,2,14\n");
    write("two.csv",
          spectra("name,role,backing,scale",
                  {"black,backing,,fraction|0.04", "white,backing,,fraction|0.85",
                   "loss 1,target,black,fraction|0.55", "loss 1,target,white,fraction|0.65",
                   "kozo,tissue,black,fraction|0.3", "kozo,tissue,white,fraction|0.8"}));
    record_ = path("lab.record");
    EXPECT_EQ(typed({"record", "new", record_}).exit, done);
    for (const Words& words :
         std::vector<Words>{{"sheet", "chart"},
                            {"loss", "loss 1", "--sheet", "chart", "--nature", "loss"},
                            {"tissue", "kozo"},
                            {"dropper", "glass"},
                            {"recipe", "by hand"},
                            {"colorant", "ochre"},
                            {"trial", "first", "--recipe", "by hand"}}) {
      Words all{"record", words.front(), "--record", record_, "--by", "K"};
      all.insert(all.end(), words.begin() + 1, words.end());
      const Typed kept = typed(all);
      EXPECT_EQ(kept.exit, done) << kept.said;
    }
  }

  void write(const std::string& name, const std::string& bytes) {
    write_contents(path(name), bytes);
  }
  std::string path(const std::string& name) const { return scratch_.file(name); }

  std::vector<std::string> files() const {
    std::vector<std::string> all;
    for (const auto& one : fs::recursive_directory_iterator(scratch_.folder())) {
      const std::string name = one.path().string();
      if (name.find("lab.record-") == std::string::npos) all.push_back(name);
    }
    std::sort(all.begin(), all.end());
    return all;
  }
  std::int64_t last_entry() const {
    const auto store = open_record(record_, Opening::must_exist);
    EXPECT_TRUE(store) << store.error().text();
    return store ? *(*store)->last_entry() : -1;
  }

  void refuse(const std::vector<Row>& rows) {
    const auto before = files();
    const auto entry = last_entry();
    for (const Row& row : rows) {
      std::string command;
      for (const std::string& word : row.words) command += " " + word;
      const Typed answer = typed(row.words);
      EXPECT_EQ(answer.exit, row.exit) << command << '\n' << answer.said;
      EXPECT_NE(answer.said.find(row.says), std::string::npos)
          << command << "\n  expected: " << row.says << "\n  said: " << answer.said;
      EXPECT_TRUE(answer.out.empty()) << command << '\n' << answer.out;
    }
    EXPECT_EQ(files(), before) << "nothing is written";
    EXPECT_EQ(last_entry(), entry) << "nothing is kept";
    tried_ += rows.size();
  }

  /// The verb with what it cannot do without.
  Words command(const app::Verb& verb, const std::string& but) const {
    Words words;
    const auto dash = verb.name.find('-');
    words.emplace_back(verb.name.substr(0, dash));
    if (dash != std::string::npos) words.emplace_back(verb.name.substr(dash + 1));
    for (const results::Option& option : results::options_of(*verb.request)) {
      if (!option.required || option.name == but) continue;
      if (option.name.front() == '-') words.push_back(option.name);
      words.push_back(path("two.csv"));
    }
    return words;
  }

  Scratch scratch_;
  std::string record_;
  std::size_t tried_ = 0;
};

/// Texts that an option cannot take, by what it says that it takes.
std::vector<std::string> not_taken(const results::Option& option) {
  if (option.flag || option.takes.empty()) return {};
  if (option.takes.front() == '{') return {"nonsense"};
  if (option.takes == "NAME=VALUE") return {};
  std::vector<std::string> all;
  if (option.takes.rfind("a whole number", 0) == 0) all = {"some", "1.5"};
  if (option.takes.rfind("a number", 0) == 0) all = {"some"};
  if (option.takes.find("above 0") != std::string::npos) all.push_back("0");
  if (option.takes.find("at least") != std::string::npos ||
      option.takes.find("from ") != std::string::npos)
    all.push_back("-7");
  if (option.takes.find(" to ") != std::string::npos) all.push_back("100000000");
  return all;
}

TEST_F(BadInputs, EveryOptionRefusesWhatItDoesNotTake) {
  std::vector<Row> rows;
  for (const app::Verb& verb : app::verbs()) {
    for (const results::Option& option : results::options_of(*verb.request)) {
      // Of several that stand by their place, the last one is missed.
      if (option.required && option.name.front() == '-')
        rows.push_back({command(verb, option.name), bad_command, option.name});
      if (option.name.front() != '-') continue;
      for (const std::string& text : not_taken(option)) {
        Words words = command(verb, option.name);
        words.push_back(option.name + "=" + text);
        rows.push_back({words, bad_command, option.name});
      }
    }
    Words unknown = command(verb, "");
    unknown.push_back("--no-such-option");
    rows.push_back({unknown, bad_command, "--no-such-option"});
  }
  refuse(rows);
  EXPECT_GE(tried_, 120u);
}

std::string option_of(std::string column) {
  std::replace(column.begin(), column.end(), '_', '-');
  return "--" + column;
}

/// What a column cannot hold: beyond its limits, no number, none of its words, no such link, no
/// text.
std::vector<std::string> not_held(const record::Column& column) {
  std::vector<std::string> all;
  if (!column.links_to.empty()) return {"nobody has this name"};
  if (!column.one_of.empty()) return {"nonsense"};
  if (column.type != record::CellType::text) all.push_back("some");
  if (!column.limits.any()) {
    all.push_back(column.type == record::CellType::whole ? "-3" : "-40.5");
    if (column.limits.most < 1e5) all.push_back("99999999");
  }
  if (column.form == record::CellForm::loads)
    all.insert(all.end(), {"ochre", "ochre=much", "ochre=-1"});
  if (column.form == record::CellForm::outline) all.insert(all.end(), {"1,2 3,4", "here"});
  const bool plain =
      column.type == record::CellType::text && column.form == record::CellForm::plain;
  if (plain && column.name != "path" && column.name != "power")
    all.insert(all.end(), {"a\x01"
                           "b",
                           "\xff\xfe"});
  if (plain && column.name == "name") all.insert(all.end(), {"   ", "two\nlines"});
  return all;
}

/// What a kind cannot do without, sound.
Words sound(const std::string& kind, const std::string& but) {
  static const std::map<std::string, std::vector<std::pair<std::string, std::string>>> needed{
      {"photograph", {{"sheet", "chart"}}},
      {"spot", {{"sheet", "chart"}}},
      {"loss", {{"sheet", "chart"}, {"nature", "loss"}}},
      {"trial", {{"recipe", "by hand"}}},
      {"fill", {{"loss", "loss 1"}, {"verdict", "refused"}}},
      {"bath", {{"sheet", "chart"}}},
      {"pickup", {{"method", "bath"}, {"ml_m2", "90"}}},
      {"spot_test", {{"tested", "ink"}, {"liquid", "water"}, {"outcome", "unsure"}}},
      {"step", {{"sheet", "chart"}, {"standing", "owed"}}},
      {"offcut", {{"tissue", "kozo"}, {"adhesive", "paste"}, {"pasted_on", "blotter"}}}};
  Words words;
  if (const auto all = needed.find(kind); all != needed.end())
    for (const auto& [column, text] : all->second)
      if (column != but) words.insert(words.end(), {option_of(column), text});
  return words;
}

TEST_F(BadInputs, EveryColumnRefusesWhatItCannotHold) {
  std::vector<Row> rows;
  for (const char* name :
       {"sheet", "spot", "loss", "instrument", "lamp", "tissue", "pickup", "colorant", "stock",
        "dropper", "recipe", "trial", "offcut", "fill", "bath", "spot_test", "step", "note"}) {
    const record::Kind& kind = *record::find_kind(name);
    std::string part = name;
    std::replace(part.begin(), part.end(), '_', '-');
    const std::string leading = kind.position("name") < kind.columns.size() ? "name"
                                : std::string(name) == "pickup"             ? "tissue"
                                : std::string(name) == "spot_test"          ? "sheet"
                                                                            : "text";
    for (const record::Column& column : kind.columns) {
      if (column.name == "power_nm" || column.name == "power") continue;
      const bool leads = column.name == leading;
      for (const std::string& text : not_held(column)) {
        Words words{"record", part, "--record", record_, "--by", "K"};
        const Words more = sound(name, column.name);
        words.insert(words.end(), more.begin(), more.end());
        if (leads)
          words.push_back(text);
        else
          words.push_back(option_of(column.name) + "=" + text);
        const std::string first = std::string(name) == "pickup"      ? "kozo"
                                  : std::string(name) == "spot_test" ? "chart"
                                                                     : "some name";
        if (!leads && !first.empty()) words.push_back(first);
        rows.push_back({words, 0, column.name});
      }
    }
  }
  // What a person mistyped is 2 or 3; never 0, and never a crash.
  const auto entry = last_entry();
  const auto before = files();
  for (const Row& row : rows) {
    std::string command;
    for (const std::string& word : row.words) command += " " + word;
    const Typed answer = typed(row.words);
    EXPECT_TRUE(answer.exit == bad_command || answer.exit == bad_data)
        << command << '\n'
        << answer.exit << answer.said;
    const bool named = answer.said.find(row.says) != std::string::npos ||
                       answer.said.find(option_of(row.says)) != std::string::npos ||
                       answer.said.find("nobody has this name") != std::string::npos;
    EXPECT_TRUE(named) << command << "\n  expected: " << row.says << "\n  said: " << answer.said;
  }
  EXPECT_EQ(files(), before);
  EXPECT_EQ(last_entry(), entry);
  EXPECT_GE(rows.size(), 150u);
}

TEST_F(BadInputs, FilesThatCannotBeRight) {
  const std::string heading = "name,light,observer,L*,a*,b*\n";
  write("too-dark.csv", heading + "margin,D65,10,-3,2,14\n");
  write("too-light.csv", heading + "margin,D65,10,111,2,14\n");
  write("red.csv", heading + "margin,D65,10,86,250,14\n");
  write("blue.csv", heading + "margin,D65,10,86,2,-201\n");
  write("unbound.csv", "name,L*,a*,b*\nmargin,86,2,14\n");
  write("words.csv", heading + "margin,D65,10,light,2,14\n");
  write("empty.csv", "");
  write("nothing.csv", "this is no reading\n");
  write("heavy.csv", "name,light,observer,L*,a*,b*,grammage_g_m2\nkozo,D65,10,86,2,14,9000\n");
  write("negative.csv", "name,light,observer,L*,a*,b*,grammage_g_m2\nkozo,D65,10,86,2,14,-2\n");
  write("name.csv", heading + "mar\x02gin,D65,10,86,2,14\n");
  write("mixed.csv", spectra("name", {"margin|62", "sea|0.55"}));
  write("fractions.csv", spectra("name", {"margin|0.62", "sea|0.55"}));
  write("percent.csv", spectra("name", {"margin|62", "sea|55"}));
  write("either.csv", spectra("name", {"margin|1.5"}));
  write("lining.csv", spectra("name,role,backing,scale", {"sekishu,substrate,black,fraction|0.3",
                                                          "sekishu,substrate,white,fraction|0.8"}));
  write("patches.csv", "name,x,y,width,hieght\nblack,1,1,5,5\n");
  write("points.csv", "before_x,before_y,after_x,aftr_y\n1,1,1,1\n");
  write("stocks.csv", "colorant,stock,g_per_m,ml_per_drop\nochre,ochre 1:20,0.03,0.05\n");
  write("roles.csv", "name,role,light,observer,L*,a*,b*\nmargin,king,D65,10,86,2,14\n");
  write("json.json", "{\"schema\":\"mendtone.wash\"");
  write("other.json", "{\"schema\":\"mendtone.tone\",\"version\":2}");
  fs::create_directory(path("folder"));
  const auto tone = [&](const char* name, const char* says) {
    return Row{{"tone", path(name)}, bad_data, says};
  };
  refuse(
      {tone("too-dark.csv", "L*"),
       tone("too-light.csv", "110"),
       tone("red.csv", "a*"),
       tone("blue.csv", "b*"),
       tone("unbound.csv", "line 2"),
       tone("words.csv", "line 2"),
       tone("empty.csv", "empty.csv"),
       tone("nothing.csv", "nothing.csv"),
       tone("heavy.csv", "5000"),
       tone("negative.csv", "line 2"),
       tone("name.csv", "line 2"),
       tone("mixed.csv", "line 3"),
       tone("either.csv", "scale"),
       tone("roles.csv", "role"),
       tone("folder", "folder"),
       {{"tone", path("fractions.csv"), "--scale", "percent"}, bad_data, "line 2"},
       {{"tone", path("percent.csv"), "--scale", "fraction"}, bad_data, "line 2"},
       {{"tone", path("not there.csv")}, world_failed, "not there.csv"},
       {{"tone", path("lab.csv"), "--light", "D66"}, bad_data, "D66"},
       {{"tone", path("lab.csv"), "--observer", "5"}, bad_command, "--observer"},
       {{"lamp", path("nothing.csv")}, bad_data, "nothing.csv"},
       {{"difference", path("lab.csv"), path("empty.csv")}, bad_data, "empty.csv"},
       {{"tissue", "--for", "loss 1", "--from", path("two.csv")}, bad_command, "--over"},
       {{"tissue", "--for", "loss 1", "--from", path("two.csv"), "--over", "mount board"},
        bad_data,
        "mount board"},
       {{"tissue", "--for", "loss 1", "--from", path("two.csv"), path("lining.csv"), "--over",
         "sekishu"},
        bad_command,
        "--over"},
       {{"tissue", "--for", "loss 9", "--from", path("two.csv"), "--over", "white"},
        world_failed,
        "loss 9"},
       {{"tissue", "--for", "loss 1", "--from", path("lab.csv"), "--over", "white"},
        world_failed,
        "loss 1"},
       {{"colorant", path("two.csv")}, bad_data, "load"},
       {{"correct", path("json.json"), "--trial", path("two.csv")}, bad_data, "json.json"},
       {{"correct", path("other.json"), "--trial", path("two.csv")}, bad_data, "other.json"},
       {{"wash", "--for", path("two.csv"), "--on", path("two.csv"), "--from", path("json.json"),
         "--over", "white"},
        bad_data,
        "json.json"},
       {{"report", "--from", path("json.json"), "--out", path("report")}, bad_data, "json.json"},
       {{"report", "--out", path("report")}, bad_command, "report"},
       {{"report", "--record", record_, "--sheet", "map", "--out", path("report")},
        bad_command,
        "map"},
       {{"report", "--readings", "before", "--out", path("report")}, bad_command, "--readings"},
       {{"record", "show", "--record", path("lab.recrod")}, world_failed, "lab.record"},
       {{"record", "show", "--record", path("lab.csv")}, bad_data, "lab.csv"},
       {{"record", "show", "map", "--record", record_}, bad_data, "map"},
       {{"record", "new", record_}, bad_command, "lab.record"},
       {{"record", "import", path("nothing.csv"), "--record", record_, "--by", "K"},
        bad_data,
        "nothing.csv"},
       {{"record", "import", path("lab.csv"), "--record", record_, "--by", "K", "--sheet", "map"},
        bad_data,
        "map"},
       {{"record", "colorant", "red", "--colour-index", "RED 5", "--record", record_, "--by", "K"},
        bad_data,
        "RED"},
       {{"record", "correct", "loss", "loss 9", "--set", "note=x", "--why", "y", "--record",
         record_, "--by", "K"},
        bad_data,
        "loss 9"},
       {{"record", "correct", "loss", "loss 1", "--set", "colour=x", "--why", "y", "--record",
         record_, "--by", "K"},
        bad_command,
        "colour"},
       {{"record", "withdraw", "loss", "loss 9", "--why", "y", "--record", record_, "--by", "K"},
        bad_data,
        "loss 9"},
       {{"record", "history", "king", "loss 1", "--record", record_}, bad_command, "king"}});
}

}  // namespace
}  // namespace mendtone::cli::bad_inputs_test
