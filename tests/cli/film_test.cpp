#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>

#include "cli/film_lab.hpp"
#include "cli/typed.hpp"

// A retouching film from ladders to correction, as she types it. The bench lays and reads it by
// physics that the planner does not use, with errors that it is not told.
namespace mendtone::cli::film_test {
namespace {

namespace fs = std::filesystem;
using virtual_bench::film_colorants;
using virtual_bench::FilmLab;
using Words = std::vector<std::string>;

const std::vector<double> sheet_loads{0.02, 0.004, 0.016, 0.002};

class Film : public ::testing::Test {
 protected:
  void SetUp() override {
    folder_ = fs::temp_directory_path() /
              ("mendtone-film-" +
               std::string(::testing::UnitTest::GetInstance()->current_test_info()->name()));
    fs::remove_all(folder_);
  }
  void TearDown() override { fs::remove_all(folder_); }

  /// Ladders calibrated, a fill in place, a sheet a little darker than it.
  FilmLab& start(std::uint64_t seed) {
    lab_.emplace(folder_, seed);
    lab_->write_sheet(sheet_loads);
    const Typed made = typed({"colorant", path("ladders.csv"), "--application", "film", "--out",
                              path("film.json"), "--colour-index", "w ochre=PY43", "--force"});
    EXPECT_EQ(made.exit, done) << made.said;
    return *lab_;
  }
  std::string path(const std::string& name) const { return lab_->path(name); }
  Words wash_words(const Words& more = {}) const {
    Words words{"wash",
                "--for",
                path("sheet.csv"),
                "--on",
                path("fill.csv"),
                "--from",
                path("film.json"),
                "--stock",
                path("stocks.csv"),
                "--area",
                "0.0012",
                "--volume",
                "10",
                "--lay",
                "0.6"};
    words.insert(words.end(), more.begin(), more.end());
    return words;
  }
  Words asked(const std::string& verb, const std::string& on, const Words& more = {}) const {
    Words words{verb, "--for", path("sheet.csv"), "--on", on, "--from", path("film.json")};
    words.insert(words.end(), more.begin(), more.end());
    return words;
  }
  Typed kept(const Words& words, const std::string& name) const {
    Words as_json = words;
    as_json.insert(as_json.end(), {"--format", "json"});
    Typed answer = typed(as_json);
    lab_->write(name, answer.out);
    return answer;
  }
  /// The bench's loads of what was measured out: the whole drops of recipe `number`.
  FilmLab::Loads dropped(const nlohmann::json& answer, std::size_t number = 0) const {
    std::vector<double> of_four;
    const auto& loads = answer["recipes"][number]["whole_drops"]["loads"];
    for (const std::string& colorant : film_colorants)
      of_four.push_back(loads.contains(colorant) ? loads[colorant].get<double>() : 0);
    return lab_->loads(of_four);
  }
  static FilmLab::Loads times(FilmLab::Loads loads, double by) {
    for (double& load : loads) load *= by;
    return loads;
  }
  static std::size_t of_kind(const nlohmann::json& answer, const std::string& kind) {
    return answer["recipes"][0]["kind"] == kind ? 0 : 1;
  }

  std::optional<FilmLab> lab_;
  fs::path folder_;
};

bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

// Of 30 seeds on the bench of photons the worst lay 2.04 DeltaE00 off after four of the five coats,
// 0.48 after the coat that was corrected. Each figure is the true colour, not a recipe's.
TEST_F(Film, ReachesTheSheetAfterOneCorrection) {
  for (std::uint64_t seed : {2, 3, 7, 22}) {
    SCOPED_TRACE(seed);
    FilmLab& lab = start(seed);
    const Typed plan = kept(wash_words({"--application", "film"}), "wash.json");
    ASSERT_EQ(plan.exit, done) << plan.said;
    EXPECT_EQ(plan.json()["application"], "film");
    EXPECT_EQ(plan.json()["problem"]["dispensing"]["method"], "brush");
    for (int coat = 0; coat < 4; ++coat) lab.lay(times(dropped(plan.json()), 0.2));
    lab.write_trial("trial.csv");
    const double before = lab.true_de00();
    EXPECT_LT(before, 2.5);
    EXPECT_GT(lab.fill_de00(), 10);

    const Typed next =
        kept({"correct", path("wash.json"), "--after-coat", "4", "--trial", path("trial.csv")},
             "correct.json");
    ASSERT_EQ(next.exit, done) << next.said;
    const nlohmann::json proposed = next.json();
    const std::size_t coat = of_kind(proposed, "coat");
    const auto& recipe = proposed["recipes"][coat];
    EXPECT_NEAR(recipe["brush"]["laid_ml"].get<double>(), 0.6 / 5, 1e-12);
    for (const auto& item : recipe["dispense"])
      if (item["stock"] != "water") {
        EXPECT_TRUE(item["drops"].is_number_integer());
      }
    lab.lay(dropped(proposed, coat));
    EXPECT_LT(lab.true_de00(), 0.6);
    EXPECT_LT(lab.true_de00(), 0.6 * before);
  }
}

/// Forty mixtures of one or two, within what the ladders hold.
std::vector<std::vector<double>> some_mixtures(std::uint64_t seed) {
  CounterRandom random(seed, 5);
  std::vector<std::vector<double>> mixtures;
  for (int i = 0; i < 40; ++i) {
    std::vector<double> four(4, 0.0);
    for (int part = 0; part < 2; ++part)
      four[random.below(4)] = 0.006 * std::pow(16, random.uniform());
    mixtures.push_back(std::move(four));
  }
  return mixtures;
}

// The bench lays what was asked for, true to the drop; u95 is for 95 of 100. Over 16 seeds 640 of
// 640 held on the calibration's own support, 635 on the fill, which it knows less of; four seeds
// here, with the worst of them.
TEST_F(Film, PredictsWithinItsOwnUncertainty) {
  struct Tally {
    int within = 0, all = 0;
    double sum_u95 = 0;
  } on_support, on_fill;
  for (std::uint64_t seed : {1, 5, 9, 13}) {
    start(seed);
    const auto mixtures = some_mixtures(seed);
    std::string csv = "name,load:w ochre,load:w earth red,load:w brown,load:w black\n";
    for (std::size_t i = 0; i < mixtures.size(); ++i) {
      csv += "mixture " + std::to_string(i);
      for (double load : mixtures[i]) csv += "," + shortest(load);
      csv += "\n";
    }
    lab_->write("mixtures.csv", csv);
    const auto count = [&](const Words& more, const std::string& under, Tally& tally) {
      Words words{"swatch", path("mixtures.csv"), "--from", path("film.json"), "--format", "json"};
      words.insert(words.end(), more.begin(), more.end());
      const Typed answer = typed(words);
      ASSERT_EQ(answer.exit, done) << answer.said;
      const nlohmann::json swatches = answer.json()["swatches"];
      for (std::size_t i = 0; i < mixtures.size(); ++i) {
        const auto lab = swatches[i]["lab"].get<std::vector<double>>();
        const Lab truth = lab_->bench().true_lab(lab_->loads(mixtures[i]), under);
        const double u95 = swatches[i]["u95_de00"].get<double>();
        tally.within += de00(truth, {lab[0], lab[1], lab[2]}) <= u95;
        tally.sum_u95 += u95;
        ++tally.all;
        EXPECT_FALSE(swatches[i]["transmitted"]["known"].get<bool>());
      }
    };
    count({}, "", on_support);
    count({"--on", path("fill.csv")}, "fill", on_fill);
  }
  EXPECT_EQ(on_fill.all, 160);
  for (const Tally& tally : {on_support, on_fill}) EXPECT_GE(tally.within, 0.9 * tally.all);
  EXPECT_GT(on_fill.sum_u95, 1.2 * on_support.sum_u95);
}

TEST_F(Film, SaysWhatAFilmNeedsAndNothingOfBaths) {
  FilmLab& lab = start(4);
  const Typed plan = typed(wash_words());
  ASSERT_EQ(plan.exit, done) << plan.said;
  const nlohmann::json as_json = kept(wash_words(), "wash.json").json();
  for (int coat = 0; coat < 4; ++coat) lab.lay(times(dropped(as_json), 0.2));
  lab.write_trial("trial.csv");
  const Typed next =
      typed({"correct", path("wash.json"), "--after-coat", "4", "--trial", path("trial.csv")});
  for (const std::string& text : {plan.out, next.out}) {
    for (const char* part :
         {"a film on the fill 'fill 1', inside its edge", "moisture and colour can travel",
          "can move when wetted again", "drop",
          "least visible spot", "0.60 ml of it is brushed on 0.0012 m2, in 5 coats of 0.12 ml",
          "w ochre (PY43)"})
      EXPECT_TRUE(holds(text, part)) << part << "\n" << text;
    for (const char* part : {"bath", "dip", " ply", "plies", "pick-up", "light sheet", "tissue"})
      EXPECT_FALSE(holds(text, part)) << part << "\n" << text;
  }
  EXPECT_TRUE(holds(plan.out, "The fill as it is"));
  EXPECT_TRUE(holds(next.out, "one more coat on the fill in hand"));
  EXPECT_TRUE(holds(next.out, "a new mix for a bare fill"));
}

TEST_F(Film, LoadsOnlyGrow) {
  FilmLab& lab = start(6);
  const Typed plan = kept(wash_words(), "wash.json");
  ASSERT_EQ(plan.exit, done) << plan.said;
  const nlohmann::json coats = plan.json()["recipes"][0]["coats"];
  ASSERT_EQ(coats.size(), 5u);
  for (std::size_t i = 1; i < coats.size(); ++i)
    for (const auto& [name, load] : coats[i]["loads"].items())
      EXPECT_GT(load.get<double>(), coats[i - 1]["loads"][name].get<double>());
  // A heavy hand: half as much again.
  lab.lay(times(dropped(plan.json()), 1.5));
  lab.write_trial("trial.csv");
  const Words words{"correct", path("wash.json"), "--trial", path("trial.csv")};
  const auto answer = kept(words, "correct.json").json();
  for (const auto& recipe : answer["recipes"])
    EXPECT_NE(recipe["kind"], "coat") << "a coat of nothing is not offered";
  EXPECT_GT(answer["trial"]["de00"].get<double>(), 1.8);
  EXPECT_EQ(answer["trial"]["verdict"], "beyond");
  EXPECT_TRUE(holds(typed(words).out, "nothing that can be added brings the fill in hand nearer"));
}

// Colour is added, never taken away: a fill darker than the sheet cannot be retouched to it.
TEST_F(Film, AFillThatIsTooDarkIsSaid) {
  FilmLab& lab = start(9);
  lab.lay(lab.loads({0.032, 0.008, 0.026, 0.004}));
  lab.write_trial("dark.csv");
  const Typed answer = typed(asked("wash", path("dark.csv")));
  EXPECT_EQ(answer.exit, no_answer) << answer.said;
  EXPECT_TRUE(holds(answer.out, "No recipe comes within the tolerance"));
  EXPECT_TRUE(holds(answer.out, "Would bring it nearer: a fill as light as 'support'"))
      << answer.out;
  EXPECT_TRUE(holds(answer.out, "Recipe 1: nothing: leave it as it is")) << answer.out;
  EXPECT_FALSE(holds(answer.out, "stop after coat"));
}

// Every figure of a film comes out again from what the record keeps.
TEST_F(Film, IsKeptAndRechecked) {
  FilmLab& lab = start(3);
  ASSERT_EQ(typed({"record", "new", path("bench.record")}).exit, 0);
  const Words keep{"--record", path("bench.record"), "--by", "K. Bay", "--keep-as"};
  const auto compute = [&](Words words, const std::string& name) {
    words.insert(words.end(), keep.begin(), keep.end());
    words.push_back(name);
    const Typed answer = typed(words);
    EXPECT_EQ(answer.exit, done) << answer.said;
  };
  ASSERT_EQ(
      typed({"record", "sheet", "chart", "--record", path("bench.record"), "--by", "K. Bay"}).exit,
      done);
  compute({"colorant", path("ladders.csv"), "--application", "film"}, "film");
  Words plan = wash_words();
  *std::find(plan.begin(), plan.end(), path("film.json")) = "film";
  compute(plan, "plan");
  compute({"swatch", "--from", "film", "--on", path("fill.csv"), "--load", "w ochre=0.02"},
          "swatch");
  const nlohmann::json recipes = kept(wash_words(), "wash.json").json();
  lab.lay(dropped(recipes));
  lab.write_trial("trial.csv");
  compute({"correct", "plan", "--trial", path("trial.csv")}, "next");
  fs::remove(path("fill.csv"));
  fs::remove(path("trial.csv"));
  const Typed again = typed({"record", "recheck", "--record", path("bench.record")});
  EXPECT_EQ(again.exit, done) << again.said;
  EXPECT_TRUE(holds(again.out, "4 computed results")) << again.out;
  EXPECT_TRUE(holds(again.out, "Everything agrees")) << again.out;
}

TEST_F(Film, RefusesInHerWords) {
  start(1);
  const auto refused = [&](const Words& words, int exit, const std::string& part) {
    const Typed answer = typed(words);
    EXPECT_EQ(answer.exit, exit) << answer.said;
    EXPECT_TRUE(holds(answer.said, part)) << answer.said;
    EXPECT_TRUE(answer.out.empty());
  };
  const std::string fill = path("fill.csv");
  refused(asked("wash", fill, {"--application", "absorbed"}), bad_data,
          "says nothing of tissue that takes a wash up");
  refused(wash_words({"--method", "bath"}), bad_command, "laid on with the brush");
  refused(wash_words({"--use", "tear"}), bad_command, "a tear is not retouched");
  refused(wash_words({"--plies", "2"}), bad_command, "however many plies");
  refused(wash_words({"--pick-up", "90"}), bad_command, "a pick-up is a bath's");
  refused(wash_words({"--tray", "50"}), bad_command, "needs no tray");
  refused(wash_words({"--let-down", "0.5"}), bad_command, "only a bath is let down");
  refused(asked("wash", path("sheet.csv")), bad_command, "original paper");
  refused(asked("wash", "margin"), bad_command, "original paper");
  refused(asked("wash", "support"), bad_data, "a film lies on the fill");
  refused(asked("wash", fill, {"--over", "board"}), bad_data, "no reading of the backing 'board'");
  refused({"swatch", "--from", path("film.json"), "--load", "w ochre=0.1", "--plies", "2"},
          bad_command, "however many plies");
  // The ladders as if tissue had taken them up, and the reverse.
  refused({"colorant", path("ladders.csv")}, bad_data, "Then calibrate it as a film");
}

// The support read under M1 as well as M2: the palette keeps what that shows, and a film that is
// planned with it is judged under D50 alone.
TEST_F(Film, ABrightenerInTheSupportIsKeptWithThePalette) {
  FilmLab& lab = start(2);
  std::vector<Reading> readings = lab.ladders();
  for (Reading& r : readings) r.condition = Condition::m2;
  for (const Reading& r : lab.ladders())
    if (r.name == "support") {
      readings.push_back(r);
      readings.back().condition = Condition::m1;
      for (std::size_t i = 0; i < 8; ++i) readings.back().spectrum->value[i] += 0.08;
    }
  lab.write("ladders.csv", lab.csv(readings));
  const Typed made = typed({"colorant", path("ladders.csv"), "--application", "film", "--out",
                            path("film.json"), "--force"});
  ASSERT_EQ(made.exit, done) << made.said;
  EXPECT_TRUE(holds(made.out, "support: a brightener was found")) << made.out;
  EXPECT_TRUE(holds(made.out, "only looked at for a brightener"));
  const Typed plan = typed(wash_words());
  ASSERT_EQ(plan.exit, done) << plan.said;
  EXPECT_TRUE(holds(plan.out, "under D50 (CIE")) << plan.out;
  EXPECT_TRUE(holds(plan.out, "not predictable (a brightener was found): D65")) << plan.out;
  const nlohmann::json recipe = kept(wash_words(), "wash.json").json()["recipes"][0];
  EXPECT_TRUE(recipe["by_light"]["A"].contains("not_predictable"));
  EXPECT_FALSE(recipe["by_light"]["D50"].contains("not_predictable"));
}

}  // namespace
}  // namespace mendtone::cli::film_test
