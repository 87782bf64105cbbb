#include <algorithm>
#include <filesystem>
#include <limits>

#include "app/inputs/json.hpp"
#include "app/report/report_parts.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::app {
namespace {

using report::Fill;
using report::RecipeCard;
using report::ReportContent;

// ---- what a field holds, whatever the file says ----

const Json& member(const Json& object, const char* key) {
  return json_member(object, key);
}

std::optional<double> number(const Json& object, const char* key) {
  return json_number(member(object, key));
}

double number_or_0(const Json& object, const char* key) {
  return number(object, key).value_or(0);
}

int whole(const Json& object, const char* key) {
  constexpr int most = std::numeric_limits<int>::max();
  return static_cast<int>(json_whole(member(object, key), -most, most).value_or(0));
}

std::string words(const Json& object, const char* key) {
  return json_text(member(object, key)).value_or("");
}

std::vector<std::string> list(const Json& object, const char* key) {
  std::vector<std::string> all;
  for (const Json& one : member(object, key))
    if (one.is_string()) all.push_back(one.get<std::string>());
  return all;
}

std::optional<Lab> lab_of(const Json& object, const char* key) {
  const Json& value = member(object, key);
  if (!value.is_array() || value.size() != 3) return std::nullopt;
  for (const Json& part : value)
    if (!part.is_number()) return std::nullopt;
  return Lab{value[0].get<double>(), value[1].get<double>(), value[2].get<double>()};
}

/// "D65" of "D65 (CIE 15:2018 table)".
std::string light_name(const std::string& with_origin) {
  return with_origin.substr(0, with_origin.find(" ("));
}

std::string viewing_light(const Json& result) {
  const auto lights = list(result, "lights");
  return lights.empty() ? words(result, "light") : light_name(lights.front());
}

// ---- tone and difference ----

void add_tones(ReportContent& content, const Json& result) {
  for (const Json& one : member(result, "tones")) {
    const auto lab = lab_of(one, "lab");
    if (!lab) continue;
    report::Reading& r = reading_at(content, words(one, "name"), "as read",
                                    {*lab, words(one, "light"), whole(one, "observer"), {}});
    r.n = whole(one, "n");
    r.spread_de00 = number(one, "spread_de00");
    r.conditions = words(one, "conditions");
    r.warnings = list(one, "warnings");
  }
}

std::optional<report::Region> region_of(const Json& json, int n) {
  if (!json.is_object()) return std::nullopt;
  return report::Region{number_or_0(json, "L_half"), number_or_0(json, "ab_major"),
                        number_or_0(json, "ab_minor"), number_or_0(json, "ab_angle_deg"),
                        std::to_string(n) + " repeats, Student and Hotelling"};
}

void add_side(ReportContent& content, const Json& pair, const std::string& when) {
  const auto lab = lab_of(pair, ("lab_" + when).c_str());
  if (!lab) return;
  report::Reading& r = reading_at(content, words(pair, "name"), when,
                                  {*lab, words(pair, "light"), whole(pair, "observer"), {}});
  r.n = whole(pair, ("n_" + when).c_str());
  r.spread_de00 = number(pair, ("spread_" + when + "_de00").c_str());
  r.region = region_of(member(pair, ("region95_" + when).c_str()), r.n);
  if (r.instrument.empty()) r.conditions = words(pair, "conditions");
}

void add_differences(ReportContent& content, const Json& result) {
  const Json& settings = member(result, "settings");
  for (const Json& pair : member(result, "pairs")) {
    add_side(content, pair, "before");
    add_side(content, pair, "after");
    report::Difference d;
    d.spot = words(pair, "name");
    d.from_stage = "before";
    d.to_stage = "after";
    d.light = words(pair, "light");
    d.observer_deg = whole(pair, "observer");
    d.de00 = number_or_0(pair, "de00");
    const Json& interval = member(pair, "interval95_de00");
    if (interval.is_array() && interval.size() == 2) {
      d.low = json_number(interval[0]);
      d.high = json_number(interval[1]);
    }
    d.u95 = number(pair, "u95");
    d.de_ab = number(pair, "de_ab");
    d.dL = number(pair, "dL");
    d.da = number(pair, "da");
    d.db = number(pair, "db");
    d.dC = number(pair, "dC");
    d.dH = number(pair, "dH");
    d.verdict = words(pair, "verdict");
    d.tolerance = number(settings, "tolerance_de00");
    d.tolerance_origin = words(settings, "tolerance_origin");
    if (const int more = whole(pair, "more_readings")) d.more_readings = more;
    d.grey_rating = number(member(pair, "grey_scale"), "rating");
    d.warnings = list(pair, "warnings");
    content.differences.push_back(std::move(d));
  }
  for (const Json& one : member(result, "refused"))
    content.unknowns.push_back("the change of " + words(one, "name") + ": " + words(one, "reason"));
}

// ---- tissue ----

std::vector<report::UnderLight> by_light(const Json& object) {
  std::vector<report::UnderLight> all;
  const Json& lights = member(object, "by_light");
  if (!lights.is_object()) return all;
  for (const auto& [light, one] : lights.items())
    if (const auto lab = lab_of(one, "lab"))
      all.push_back({light, *lab, number_or_0(one, "de00"), number_or_0(one, "dL"),
                     number_or_0(one, "da"), number_or_0(one, "db")});
  return all;
}

std::optional<report::Transmitted> transmitted(const Json& object) {
  const Json& t = member(object, "transmitted");
  if (!t.is_object()) return std::nullopt;
  return report::Transmitted{json_true(member(t, "known")),
                             words(t, "why"),
                             words(t, "light"),
                             lab_of(t, "lab"),
                             number(t, "de00"),
                             number(t, "dL")};
}

std::optional<report::Tone> sheet_tone(const Json& result, const std::string& light, int observer) {
  for (const report::UnderLight& u : by_light(member(result, "sheet")))
    if (u.light == light) return report::Tone{u.lab, light, observer, {}};
  return std::nullopt;
}

Fill fill_of(const Json& candidate, const Json& result) {
  Fill f;
  const std::string light = viewing_light(result);
  const int observer = whole(result, "observer");
  f.name = words(candidate, "tissue");
  f.purpose = words(candidate, "use");
  f.side = words(candidate, "side");
  f.plies = whole(candidate, "plies");
  f.backing = words(result, "over");
  f.weight_g_m2 = number(candidate, "weight_g_m2");
  f.tone = {lab_of(candidate, "lab").value_or(Lab{}), light, observer, {}};
  f.sheet = sheet_tone(result, light, observer);
  f.de00 = number(candidate, "de00");
  f.dL = number(candidate, "dL");
  f.da = number(candidate, "da");
  f.db = number(candidate, "db");
  f.worst_de00 = number(candidate, "worst_de00");
  f.worst_light = words(candidate, "worst_light");
  f.overlap_de00 = number(candidate, "overlap_de00");
  f.score = number(candidate, "score");
  f.p_nearest = number(candidate, "nearest_probability");
  f.by_light = by_light(candidate);
  f.transmitted = transmitted(candidate);
  f.reasons = list(candidate, "reasons");
  f.cautions = list(candidate, "cautions");
  return f;
}

bool is_named(const Fill& fill, const std::string& wanted) {
  return wanted == fill.name || wanted == fill.name + ":" + std::to_string(fill.plies);
}

void add_tissues(ReportContent& content, const Json& result, const ReportRequest& request) {
  std::size_t shown = 0, all = 0;
  bool chosen = false;
  for (const Json& candidate : member(result, "candidates")) {
    Fill fill = fill_of(candidate, result);
    fill.chosen = !chosen && !request.chosen.empty() && is_named(fill, request.chosen);
    chosen = chosen || fill.chosen;
    bool refused = false;
    for (const auto& [name, why] : request.refused)
      if (!fill.chosen && is_named(fill, name)) {
        fill.refused_because = why;
        refused = true;
      }
    ++all;
    if (shown >= request.most_fills && !fill.chosen && !refused) continue;
    ++shown;
    content.fills.push_back(std::move(fill));
  }
  if (shown < all)
    content.methods.push_back("Of " + std::to_string(all) + " ranked candidates " +
                              std::to_string(shown) + " are listed");
  if (const auto score = words(result, "score"); !score.empty())
    content.methods.push_back("Fills are in the order of the score " + score);
  for (const Json& one : member(result, "left_out"))
    content.unknowns.push_back("how " + words(one, "tissue") +
                               " would match: " + words(one, "reason"));
  for (const std::string& note : list(result, "notes")) content.cautions.push_back(note);
}

// ---- wash and correct ----

std::vector<report::Load> loads_of(const Json& object, const char* key) {
  std::vector<report::Load> loads;
  const Json& map = member(object, key);
  if (!map.is_object()) return loads;
  for (const auto& [name, value] : map.items())
    if (value.is_number()) loads.push_back({name, value.get<double>()});
  return loads;
}

std::string first_of(const Json& result, std::initializer_list<const char*> keys) {
  for (const char* key : keys)
    if (auto found = words(result, key); !found.empty()) return found;
  return {};
}

std::string title_of(const RecipeCard& card, std::size_t number) {
  std::string names;
  for (const report::Load& load : card.loads) names += (names.empty() ? "" : ", ") + load.colorant;
  return "Wash " + std::to_string(number) + (names.empty() ? "" : ": " + names);
}

RecipeCard card_of(const Json& recipe, const Json& result, std::size_t place) {
  RecipeCard card;
  const std::string light = viewing_light(result);
  const int observer = whole(result, "observer");
  card.tissue = first_of(result, {"tissue", "on", "substrate"});
  card.backing = first_of(result, {"over", "backing"});
  card.application = first_of(result, {"application"});
  card.method = first_of(result, {"method"});
  card.volume_ml = number(result, "volume_ml");
  card.area_cm2 = number(result, "area_cm2");
  card.loads = loads_of(recipe, "loads");
  card.load_unit = words(recipe, "load_unit");
  if (card.load_unit.empty()) card.load_unit = words(result, "load_unit");
  card.title = title_of(card, place);
  card.tone = {lab_of(recipe, "lab").value_or(Lab{}), light, observer, {}};
  card.sheet = sheet_tone(result, light, observer);
  card.de00 = number(recipe, "de00");
  card.aim_de00 = number(recipe, "aim_de00");
  card.u95_de00 = number(recipe, "u95_de00");
  card.worst_de00 = number(recipe, "worst_de00");
  card.worst_light = words(recipe, "worst_light");
  card.one_drop_de00 = number(recipe, "one_drop_de00");
  card.by_light = by_light(recipe);
  for (const Json& item : member(recipe, "dispense"))
    card.dispense.push_back({words(item, "stock"), number(item, "ml"), number(item, "drops"),
                             number(item, "of_volume_ml")});
  for (const Json& coat : member(recipe, "coats")) {
    report::Coat one;
    one.n = whole(coat, "n");
    one.loads = loads_of(coat, "loads");
    if (const auto lab = lab_of(coat, "lab")) one.tone = report::Tone{*lab, light, observer, {}};
    one.de00 = number(coat, "de00");
    if (const auto t = transmitted(coat)) one.transmitted_dL = t->dL;
    card.coats.push_back(std::move(one));
  }
  card.notes = list(recipe, "notes");
  card.cautions = list(recipe, "cautions");
  return card;
}

void add_recipes(ReportContent& content, const Json& result) {
  std::size_t place = 0;
  for (const Json& recipe : member(result, "recipes"))
    content.recipes.push_back(card_of(recipe, result, ++place));
}

/// `learned` is {COLORANT: {strength, u95}, offset_lab[3], of_which_dosing}.
void add_correction(ReportContent& content, const Json& result) {
  report::Trial trial;
  trial.name = "Trial " + std::to_string(content.trials.size() + 1);
  const std::string light = viewing_light(result);
  const int observer = whole(result, "observer");
  const Json& measured = member(result, "trial");
  if (const auto lab = lab_of(measured, "lab"))
    trial.measured = report::Tone{*lab, light, observer, {}};
  if (const auto lab = lab_of(measured, "predicted_lab"))
    trial.predicted = report::Tone{*lab, light, observer, {}};
  trial.de00_to_prediction = number(measured, "de00_to_prediction");
  trial.de00_to_aim = number(measured, "aim_de00");
  if (const auto name = words(measured, "name"); !name.empty()) trial.name = name;
  const Json& learned = member(result, "learned");
  if (learned.is_object())
    for (const auto& [name, value] : learned.items())
      if (value.is_object() && value.contains("strength"))
        trial.learned.push_back({name, number_or_0(value, "strength"), number(value, "u95")});
  trial.notes = list(learned, "words");
  content.trials.push_back(std::move(trial));
}

// ---- image change ----

std::string figures_of(const Json& region) {
  const auto value = [&](const char* key) { return fixed(number_or_0(region, key), 2); };
  return words(region, "name") + ": mean " + value("mean_de00") + ", median " +
         value("median_de00") + ", 95th percentile " + value("p95_de00") + ", " +
         fixed(100 * number_or_0(region, "share_above_tolerance"), 1) +
         " % of the area above the tolerance of ";
}

void add_change_maps(ReportContent& content, const Json& result, const std::string& file) {
  const std::string tolerance = fixed(number_or_0(result, "tolerance_de00"), 1);
  std::string caption = "Photographs compared under D50, 2 degrees, CIEDE2000. ";
  for (const Json& region : member(result, "regions"))
    caption += figures_of(region) + tolerance + ". ";
  for (const std::string& name : list(result, "pictures")) {
    std::filesystem::path path = name;
    if (!std::filesystem::exists(path)) path = std::filesystem::path(file).parent_path() / name;
    add_picture(content, path.string(), "change",
                "Change map " + std::filesystem::path(name).stem().string(), caption);
    caption.clear();
  }
}

Error not_ours(const std::string& file) {
  return bad_input(
      "expected a result of tone, difference, tissue, wash, correct or image change, "
      "as --format json gives it; found something else",
      file);
}

/// A null value where it is no JSON.
Json parsed(std::string_view text) {
  auto json = json_from(text);
  return json ? *std::move(json) : Json();
}

}  // namespace

report::Reading& reading_at(ReportContent& content, const std::string& spot,
                            const std::string& stage, const report::Tone& tone,
                            const std::string& backing) {
  for (report::Reading& known : content.readings)
    if (known.spot == spot && known.stage == stage && known.tone.light == tone.light &&
        (known.backing == backing || known.backing.empty() || backing.empty()))
      return known;
  report::Reading made;
  made.spot = spot;
  made.stage = stage;
  made.tone = tone;
  made.backing = backing;
  content.readings.push_back(std::move(made));
  return content.readings.back();
}

Result<void> add_result(ReportContent& content, std::string_view text, const std::string& file,
                        const ReportRequest& request) {
  const Json result = parsed(text);
  if (!result.is_object() || words(result, "schema").rfind("mendtone.", 0) != 0)
    return not_ours(file);
  if (result.contains("tones"))
    add_tones(content, result);
  else if (result.contains("pairs"))
    add_differences(content, result);
  else if (result.contains("candidates"))
    add_tissues(content, result, request);
  else if (result.contains("recipes"))
    add_recipes(content, result);
  else if (result.contains("registration") && result.contains("pictures"))
    add_change_maps(content, result, file);
  else
    return not_ours(file);
  if (result.contains("learned")) add_correction(content, result);
  return {};
}

bool add_fill_from_result(ReportContent& content, std::string_view json, const std::string& tissue,
                          int plies, const Fill& decided) {
  const Json result = parsed(json);
  for (const Json& candidate : member(result, "candidates")) {
    if (words(candidate, "tissue") != tissue || (plies > 0 && whole(candidate, "plies") != plies))
      continue;
    Fill fill = fill_of(candidate, result);
    fill.loss = decided.loss;
    fill.outline = decided.outline;
    fill.chosen = decided.chosen;
    fill.refused_because = decided.refused_because;
    content.fills.push_back(std::move(fill));
    return true;
  }
  return false;
}

bool add_toned_fill(ReportContent& content, std::string_view json, std::size_t place,
                    const std::string& title, const Fill& decided) {
  const Json result = parsed(json);
  const Json& recipes = member(result, "recipes");
  if (!recipes.is_array() || place < 1 || place > recipes.size()) return false;
  const Json& recipe = recipes[place - 1];
  const RecipeCard card = card_of(recipe, result, place);
  Fill fill = decided;
  fill.name = (decided.name.empty() ? card.tissue : decided.name) + ", toned by " + title;
  fill.backing = card.backing;
  fill.tone = card.tone;
  fill.sheet = card.sheet;
  fill.de00 = card.de00;
  fill.u95_de00 = card.u95_de00;
  fill.worst_de00 = card.worst_de00;
  fill.worst_light = card.worst_light;
  fill.by_light = card.by_light;
  for (const report::UnderLight& u : card.by_light)
    if (u.light == card.tone.light) {
      fill.dL = u.dL;
      fill.da = u.da;
      fill.db = u.db;
      if (!fill.sheet)
        fill.sheet = report::Tone{{u.lab.L - u.dL, u.lab.a - u.da, u.lab.b - u.db},
                                  card.tone.light,
                                  card.tone.observer_deg,
                                  {}};
    }
  fill.transmitted = transmitted(recipe);
  content.fills.push_back(std::move(fill));
  return true;
}

void add_ranking(ReportContent& content, std::string_view json, std::size_t most,
                 const Fill& place) {
  const Json result = parsed(json);
  std::size_t shown = 0, all = 0;
  for (const Json& candidate : member(result, "candidates")) {
    ++all;
    if (shown >= most) continue;
    ++shown;
    Fill fill = fill_of(candidate, result);
    const bool told =
        std::any_of(content.fills.begin(), content.fills.end(), [&](const Fill& known) {
          return known.name == fill.name && known.plies == fill.plies && known.loss == place.loss;
        });
    if (told) continue;
    fill.loss = place.loss;
    fill.outline = place.outline;
    content.fills.push_back(std::move(fill));
  }
  if (shown < all)
    content.methods.push_back("Of " + std::to_string(all) + " ranked candidates" +
                              (place.loss.empty() ? "" : " for " + place.loss) + " " +
                              std::to_string(shown) + " are listed");
}

bool learn_from_result(report::Trial& trial, std::string_view parameters, std::string_view json) {
  const Json request = parsed(parameters), result = parsed(json);
  const auto from = list(member(request, "trials"), "files");
  if (std::find(from.begin(), from.end(), trial.name) == from.end()) return false;
  ReportContent apart;
  add_correction(apart, result);
  const report::Trial& told = apart.trials.front();
  trial.learned = told.learned;
  trial.de00_to_aim = told.de00_to_aim;
  trial.notes.insert(trial.notes.end(), told.notes.begin(), told.notes.end());
  return true;
}

bool add_recipe_from_result(ReportContent& content, std::string_view json, std::size_t place,
                            const RecipeCard& decided) {
  const Json result = parsed(json);
  const Json& recipes = member(result, "recipes");
  if (!recipes.is_array() || place < 1 || place > recipes.size()) return false;
  RecipeCard card = card_of(recipes[place - 1], result, place);
  card.title = decided.title;
  card.loss = decided.loss;
  card.chosen = decided.chosen;
  card.notes.insert(card.notes.begin(), decided.notes.begin(), decided.notes.end());
  if (!decided.tissue.empty()) card.tissue = decided.tissue;
  content.recipes.push_back(std::move(card));
  return true;
}

}  // namespace mendtone::app
