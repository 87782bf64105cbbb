#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "long_runs.hpp"
#include "mendtone/results/documents.hpp"
#include "mendtone/results/options.hpp"
#include "mendtone/results/tone.hpp"
#include "mendtone/results/wash.hpp"
#include "results/random_value.hpp"

namespace mendtone::results::walk_test {
namespace {

std::string name_of(const Type& type) {
  return type.schema.empty() ? type.name : type.schema;
}

/// The parts of a palette fit each other, which chance would not make them.
Palette small_palette(std::uint64_t seed) {
  CounterRandom random(seed);
  const auto some = [&](std::size_t count) {
    std::vector<double> all(count);
    for (double& one : all) one = random.uniform();
    return all;
  };
  Palette palette;
  palette.grid = WavelengthGrid::equal_steps(400, 10, 3);
  palette.substrate = "kozo \"17\"";
  if (seed % 2 == 0)
    palette.application = Application::film, palette.support = some(3);
  else
    palette.ply = {palette.grid, some(3), some(3), {false, true, false}};
  palette.backings = {{"white", some(3)}, {"mount board", some(3)}};
  if (seed % 5 == 0)
    palette.model = palette.ply.model = LayerModel::many_fluxes_sphere;
  else
    palette.screening = random.uniform();
  for (const char* name : {"ochre", "carbon/2"}) {
    Colorant colorant;
    colorant.name = name;
    colorant.k = some(3);
    colorant.s = some(3);
    colorant.law = {LoadLaw::Kind::power, 0.5 + random.uniform()};
    colorant.load_range = {0, random.uniform()};
    palette.colorants.push_back(colorant);
  }
  if (seed % 3 == 0) palette.learnt = LearntResidual{{some(3)}, {some(2)}, {some(1)}, some(2)};
  palette.posterior.direction = {some(parameter_count(palette))};
  return palette;
}

void put_palette(const Type& type, void* value, std::uint64_t seed) {
  if (&type == &type_of<ColorantAnswer>())
    static_cast<ColorantAnswer*>(value)->palette = small_palette(seed);
  if (&type == &type_of<WashAnswer>())
    static_cast<WashAnswer*>(value)->problem.palette.palette = small_palette(seed);
  if (&type == &type_of<CorrectAnswer>())
    static_cast<CorrectAnswer*>(value)->problem.palette.palette = small_palette(seed);
}

TEST(Walk, WriteReadWriteGivesTheSameBytes) {
  for (const Type* type : documents())
    for (std::uint64_t seed = 1; seed <= test::count(400, 25); ++seed) {
      const Value made = fresh(*type), again = fresh(*type);
      RandomValue(seed).fill(*type, made.data.get());
      put_palette(*type, made.data.get(), seed);
      const std::string first = to_json(*type, made.data.get());
      const auto read = from_json(*type, first, "", Reading::document, again.data.get());
      ASSERT_TRUE(read) << name_of(*type) << " " << seed << " " << read.error().text();
      ASSERT_EQ(first, to_json(*type, again.data.get())) << name_of(*type) << " " << seed;
    }
}

/// What was expected and found, and where; `text` is wrong in one place.
Error refused(const std::string& text, Reading reading = Reading::document) {
  const auto read = results::read<ToneAnswer>(text, "tone.json", reading);
  EXPECT_FALSE(read) << text;
  return read ? Error{} : read.error();
}

std::string changed(const std::string& pointer, const nlohmann::ordered_json& to) {
  ToneAnswer answer;
  answer.tones.resize(2);
  auto json = nlohmann::ordered_json::parse(to_json(answer));
  json[nlohmann::ordered_json::json_pointer(pointer)] = to;
  return json.dump();
}

TEST(JsonIn, NamesPointerExpectedAndFound) {
  const Error number = refused(changed("/tones/1/lab/2", "7"));
  EXPECT_EQ(number.where, "tone.json /tones/1/lab/2");
  EXPECT_EQ(number.message, "expected a number, found \"7\"");
  EXPECT_EQ(refused(changed("/tones/0/lab", {1, 2})).message,
            "expected 3 numbers, found a list of 2");
  EXPECT_EQ(refused(changed("/tones/0/quantity", "refelctance")).message,
            "expected one of: reflectance, transmittance, found \"refelctance\"");
  EXPECT_EQ(refused(changed("/tones/0/n", -1)).message,
            "expected a whole number in its range, found -1");
  EXPECT_EQ(refused(changed("/observer", 10.5)).message, "expected a whole number, found 10.5");
  EXPECT_EQ(refused(changed("/observer", 1e300)).message, "expected a whole number, found 1e+300");
  EXPECT_EQ(refused(changed("/tones", nullptr)).message, "expected a list, found null");
  EXPECT_EQ(refused(changed("/nonsense", 1)).where, "tone.json /nonsense");
}

TEST(JsonIn, RefusesWhatIsMissingNewerOrAnother) {
  ToneAnswer answer;
  auto json = nlohmann::ordered_json::parse(to_json(answer));
  json.erase("tones");
  EXPECT_EQ(refused(json.dump()).where, "tone.json /tones");
  EXPECT_EQ(refused(changed("/version", 3)).where, "tone.json /version");
  EXPECT_EQ(refused(changed("/version", 0)).where, "tone.json /version");
  EXPECT_EQ(refused(changed("/schema", "mendtone.wash")).where, "tone.json /schema");
  EXPECT_EQ(refused("[]").message, "expected an object, found a list of 0");
  EXPECT_FALSE(refused("{").message.empty());
  EXPECT_FALSE(refused("").message.empty());
  EXPECT_FALSE(refused(std::string(100000, '[')).message.empty());
}

TEST(JsonIn, TakesVersion1WithItsLightsAsTexts) {
  const auto read = results::read<ToneAnswer>(
      R"json({"schema": "mendtone.tone", "version": 1, "lights": ["D65 (CIE 15:2018 table)",
          "hall (north) (lamp file hall (north).csv)", "own"],
          "observer": 2, "tones": [], "refused": [], "warnings": [], "old field": 1})json",
      "old.json");
  ASSERT_TRUE(read) << read.error().text();
  EXPECT_EQ(read->lights[0].name, "D65");
  EXPECT_EQ(read->lights[0].origin, "CIE 15:2018 table");
  EXPECT_EQ(read->lights[1].name, "hall (north)");
  EXPECT_EQ(read->lights[1].origin, "lamp file hall (north).csv");
  EXPECT_EQ(read->lights[2].name, "own");
  EXPECT_EQ(read->observer_deg, 2);
}

// The first version knew two fluxes alone, and Kubelka's letters.
TEST(JsonIn, TakesPalettesOfVersion1AsOfTwoFluxes) {
  ColorantAnswer answer;
  answer.palette = small_palette(1);
  auto json = nlohmann::ordered_json::parse(to_json(type_of<ColorantAnswer>(), &answer));
  const auto rename = [](auto& object, const char* now, const char* then) {
    object[then] = object[now];
    object.erase(now);
  };
  json["version"] = 1;
  json.erase("model");
  rename(json["ply"], "absorption", "K");
  rename(json["ply"], "scattering", "S");
  for (auto& colorant : json["colorants"]) {
    rename(colorant, "absorption", "k");
    rename(colorant, "scattering", "s");
    rename(colorant, "absorption_se", "k_se");
    rename(colorant, "scattering_se", "s_se");
  }
  const auto read = results::read<ColorantAnswer>(json.dump(), "old.json");
  ASSERT_TRUE(read) << read.error().text();
  const Palette &was = answer.palette, &now = read->palette;
  EXPECT_EQ(now.model, LayerModel::two_fluxes);
  EXPECT_EQ(now.ply.model, LayerModel::two_fluxes);
  EXPECT_EQ(now.screening, was.screening);
  EXPECT_EQ(now.ply.K, was.ply.K);
  EXPECT_EQ(now.ply.S, was.ply.S);
  for (std::size_t c = 0; c < was.colorants.size(); ++c) {
    EXPECT_EQ(now.colorants[c].k, was.colorants[c].k);
    EXPECT_EQ(now.colorants[c].s, was.colorants[c].s);
  }
  // Today's letters are not its own, nor its letters today's.
  json["version"] = 2;
  EXPECT_FALSE(results::read<ColorantAnswer>(json.dump(), "mixed.json"));
}

TEST(JsonIn, AQuestionKeepsDefaultsAndKnowsEveryField) {
  const auto read =
      results::read<ToneRequest>(R"({"sources": {"files": ["a.csv"]}})", "", Reading::question);
  ASSERT_TRUE(read) << read.error().text();
  EXPECT_FALSE(read->viewing.observer_deg);  // not stated: each use-case says what it takes
  EXPECT_FALSE(results::read<ToneRequest>(R"({})", "", Reading::question));
  EXPECT_FALSE(results::read<ToneRequest>(R"({"sources": {"files": ["a"]}, "viewin": {}})", "",
                                          Reading::question));
  EXPECT_TRUE(results::read<ToneRequest>(R"({"sources": {"files": ["a"]}, "gone": {}})", "",
                                         Reading::kept));
}

ToneAnswer answer_with(double L) {
  ToneAnswer answer;
  answer.tones.resize(1);
  answer.tones[0].name = "margin";
  answer.tones[0].lab = {L, 2, 14};
  answer.tones[0].warnings = {"read by hand"};
  return answer;
}

TEST(Compare, FindsAFigureAndPassesOverSentences) {
  ToneAnswer kept = answer_with(86), now = kept;
  now.tones[0].warnings = {"worded otherwise"};
  const auto same = compare(type_of<ToneAnswer>(), &kept, &now, 2);
  EXPECT_TRUE(same.unlike.empty());
  EXPECT_GT(same.figures, 5u);
  now.tones[0].lab.L = 86.001;
  const auto other = compare(type_of<ToneAnswer>(), &kept, &now, 2);
  ASSERT_EQ(other.unlike.size(), 1u);
  EXPECT_EQ(other.unlike[0].pointer, "/tones/0/lab/0");
  EXPECT_EQ(other.unlike[0].kept, "86");
  EXPECT_EQ(other.unlike[0].now, "86.001");
  now = kept;
  now.tones[0].name = "corner";
  EXPECT_EQ(compare(type_of<ToneAnswer>(), &kept, &now, 2).unlike.size(), 1u);
  now = kept;
  now.tones.clear();
  EXPECT_EQ(compare(type_of<ToneAnswer>(), &kept, &now, 2).unlike.size(), 1u);
}

TEST(Csv, FollowsTheTableAndQuotesAsRfc4180) {
  ToneAnswer answer = answer_with(86);
  answer.tones[0].name = "a, \"b\"";
  const std::string csv = to_csv(answer);
  EXPECT_EQ(csv.substr(0, csv.find('\n')),
            "name,light,observer,X,Y,Z,L*,a*,b*,C*,h_deg,n,spread_de00,conditions,warnings");
  EXPECT_NE(csv.find("\"a, \"\"b\"\"\",,10,0,0,0,86,2,14,"), std::string::npos) << csv;
}

/// Every column of every table points at something that can stand in a cell.
TEST(Csv, EveryTableCanBeWritten) {
  for (const Type* type : documents()) {
    if (type->table.columns.empty()) continue;
    const Value made = fresh(*type);
    RandomValue(7).fill(*type, made.data.get());
    const std::string csv = to_csv(*type, made.data.get());
    EXPECT_FALSE(csv.empty()) << name_of(*type);
  }
}

TEST(Options, ComeFromTheFields) {
  const auto options = options_of(type_of<ToneRequest>());
  const auto find = [&](const std::string& name) -> const Option& {
    for (const Option& option : options)
      if (option.name == name) return option;
    ADD_FAILURE() << name;
    return options.front();
  };
  EXPECT_TRUE(find("FILE").required);
  ToneRequest request;
  ASSERT_TRUE(find("FILE").put(&request, {"a", "b"}));
  ASSERT_TRUE(find("--scale").put(&request, {"percent"}));
  ASSERT_TRUE(find("--observer").put(&request, {"2"}));
  EXPECT_EQ(request.sources.files, (std::vector<std::string>{"a", "b"}));
  EXPECT_EQ(request.sources.scale, Scale::percent);
  EXPECT_EQ(request.viewing.observer_deg, 2);
  const auto wrong = find("--observer").put(&request, {"7"});
  ASSERT_FALSE(wrong);
  EXPECT_EQ(wrong.error().text(), "--observer: expected {2,10}, found '7'");
  EXPECT_FALSE(find("--scale").put(&request, {"procent"}));
}

// A correction is computed from a kept wash: what its sheet does to light must come back whole.
TEST(Numbers, OfASlabComeBack) {
  Slab many(0.4, 0.38, 0.3);
  many.seen = 0.41;
  many.in = 0.33;
  many.straight_out = 0.1;
  for (const Slab& slab : {Slab(0.4, 0.38, 0.3), many}) {
    const std::vector<double> numbers = Numbers<Slab>::get(slab);
    EXPECT_EQ(numbers.size(), slab.seen == slab.R12 ? 3u : 10u);
    Slab back;
    EXPECT_EQ(Numbers<Slab>::set(back, numbers), "");
    EXPECT_EQ(Numbers<Slab>::get(back), numbers);
    EXPECT_EQ(over(back, 0.5), over(slab, 0.5));
  }
  Slab none;
  EXPECT_NE(Numbers<Slab>::set(none, {0.1, 0.2}), "");
}

}  // namespace
}  // namespace mendtone::results::walk_test
