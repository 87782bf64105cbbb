#include "mendtone/app/wash/correct.hpp"

#include <algorithm>
#include <cmath>

#include "app/inputs/text.hpp"
#include "app/wash/plan.hpp"
#include "app/wash/wash_care.hpp"
#include "mendtone/results/walk.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/change.hpp"
#include "mendtone/materials/backings.hpp"
#include "mendtone/spectral/reading_set.hpp"

namespace mendtone::app {
namespace {

/// A wash's or a correction's answer, read back.
struct ReadBack {
  WashState state;
  std::vector<results::KeptTrial> trials;
  std::vector<double> loads;
  bool on_sheet_in_hand = false;  ///< the recipe was one more coat
  int coats = 1;                  ///< how many coats the recipe has
};

Result<ReadBack> read_back(const results::WashPlan& plan,
                           const std::vector<results::WashRecipe>& recipes,
                           const std::vector<results::KeptTrial>& trials,
                           const CorrectRequest& request) {
  auto state = state_of(plan);
  if (!state) return Error{state.error().code, state.error().message, request.recipe_file};
  if (request.recipe < 1 || static_cast<std::size_t>(request.recipe) > recipes.size())
    return bad_request("there are " + std::to_string(recipes.size()) +
                           " recipes, asked for number " + std::to_string(request.recipe),
                       "--recipe");
  const results::WashRecipe& recipe = recipes[static_cast<std::size_t>(request.recipe - 1)];
  const Palette& palette = state->problem.palette;
  for (const results::KeptTrial& trial : trials)
    if (trial.reflectance.size() != palette.grid.size())
      return bad_input("this is no wash: /trials of '" + trial.name +
                           "' must have one reflectance a band",
                       request.recipe_file);
  std::vector<double> loads = results::loads_in(
      palette, recipe.whole_drops ? recipe.whole_drops->loads : recipe.loads);
  const int coats = std::max<int>(1, static_cast<int>(recipe.coats.size()));
  if (request.after_coat && *request.after_coat > coats)
    return bad_request("recipe " + std::to_string(request.recipe) + " is laid down in " +
                           counted(static_cast<std::size_t>(coats), "coat", "coats") +
                           ", asked for the trial after coat " +
                           std::to_string(*request.after_coat),
                       "--after-coat");
  return ReadBack{*std::move(state), trials, std::move(loads), recipe.kind == "coat", coats};
}

Result<ReadBack> read_back(const CorrectRequest& request, const InputPlace& place) {
  auto bytes = input_bytes(request.recipe_file, place);
  if (!bytes) return bytes.error();
  const std::string& name = request.recipe_file;
  auto head = results::head_of(*bytes, name);
  if (!head) return head.error();
  if (head->schema == "correct") {
    auto before = results::read<CorrectAnswer>(*bytes, name);
    if (!before) return before.error();
    return read_back(before->problem, before->recipes, before->trials, request);
  }
  if (head->schema != "wash")
    return bad_input("expected what 'mendtone wash --format json' or 'correct' wrote", name);
  auto planned = results::read<WashAnswer>(*bytes, name);
  if (!planned) return planned.error();
  return read_back(planned->problem, planned->recipes, {}, request);
}

Result<void> check_reading(const WashState& state, const Reading& r) {
  const std::string where = text_of(r.source);
  if (!r.spectrum) return bad_input("a trial needs its spectrum, not only L*a*b*", where);
  if (r.state == State::wet)
    return bad_input("read wet: acrylics and papers dry to another colour; read it dry", where);
  const bool film = is_film(state);
  if (r.plies && *r.plies != state.problem.plies && !film)
    return bad_input("read in " + counted(static_cast<std::size_t>(*r.plies), "ply", "plies") +
                         ", planned in " + std::to_string(state.problem.plies),
                     where);
  return {};
}

/// True where a trial was read over what it was planned over.
bool is_over_plan(const WashState& state, const Reading& r) {
  return r.backing.empty() || r.backing == state.over ||
         (is_film(state) && (state.over.empty() || r.backing == state.tissue));
}

/// Readings over other backings are set aside and named; one over the planned one is enough.
Result<std::vector<Reading>> over_plan(const WashState& state, const std::vector<Reading>& rows,
                                       std::vector<std::string>& warnings) {
  std::vector<Reading> there;
  std::vector<std::string> elsewhere;
  for (const Reading& r : rows) {
    if (is_over_plan(state, r)) {
      there.push_back(r);
      continue;
    }
    const std::string said = "'" + r.name + "' over " + r.backing;
    if (std::find(elsewhere.begin(), elsewhere.end(), said) == elsewhere.end())
      elsewhere.push_back(said);
  }
  const std::string planned = state.over.empty() ? state.tissue : state.over;
  if (there.empty())
    return bad_input("this trial was read as " + listed(elsewhere) + "; the " +
                         (is_film(state) ? "film" : "wash") + " was planned over " + planned +
                         ": read it over " + planned + " too",
                     text_of(rows.front().source));
  if (!elsewhere.empty())
    warnings.push_back("set aside, because the wash was planned over " + planned + ": " +
                       listed(elsewhere));
  return there;
}

/// What the reading's own load columns say was laid down in all, or nothing.
Result<std::optional<std::vector<double>>> stated_loads(const WashState& state, const Reading& r) {
  if (r.loads.empty()) return std::optional<std::vector<double>>();
  const Palette& palette = state.problem.palette;
  if (r.load_unit != LoadUnit::unstated && r.load_unit != palette.load_unit)
    return bad_input("loads in " + std::string(name_of(r.load_unit)) + ", calibrated in " +
                         std::string(name_of(palette.load_unit)),
                     text_of(r.source));
  std::vector<double> loads(palette.colorants.size(), 0.0);
  for (const auto& [name, load] : r.loads) {
    const auto found = std::find_if(palette.colorants.begin(), palette.colorants.end(),
                                    [&](const Colorant& c) { return c.name == name; });
    if (found == palette.colorants.end() && load > 0)
      return bad_input("a load of '" + name + "', which the calibration does not know",
                       text_of(r.source));
    if (found != palette.colorants.end())
      loads[static_cast<std::size_t>(found - palette.colorants.begin())] = load;
  }
  return std::optional(loads);
}

struct NamedTrial {
  std::string name;
  Trial trial;
  std::vector<std::vector<double>> repeats;  ///< on the palette's bands
};

/// The same sheet, read once and given twice.
bool is_same(const NamedTrial& a, const NamedTrial& b) {
  const auto alike = [](double p, double q) { return std::abs(p - q) <= 1e-9; };
  return a.trial.reflectance.size() == b.trial.reflectance.size() &&
         std::equal(a.trial.reflectance.begin(), a.trial.reflectance.end(),
                    b.trial.reflectance.begin(), alike);
}

/// Repeats one by one, on the palette's bands.
std::vector<std::vector<double>> each_of(const Repeats& repeats, const WavelengthGrid& grid) {
  std::vector<std::vector<double>> each;
  for (const Reading& reading : repeats.readings)
    if (reading.spectrum) each.push_back(on_grid(*reading.spectrum, grid).value);
  return each;
}

/// Trials of the files, after those that are known. The same name with more on it is the same
/// sheet with one more coat.
Result<void> put_trials(const CorrectRequest& request, const InputPlace& place,
                        const ReadBack& back, std::vector<NamedTrial>& trials,
                        std::vector<std::string>& warnings, std::optional<Reading>& last) {
  auto file = load(request.trials, place);
  if (!file) return file.error();
  warnings = lines_of(file->warnings);
  std::vector<Reading> rows;
  for (Role role : {Role::trial, Role::unstated, Role::swatch}) {
    for (const Reading& r : file->readings)
      if (r.role == role) rows.push_back(r);
    if (!rows.empty()) break;
  }
  if (rows.empty()) return bad_input("no reading of a trial was found (role trial)", "--trial");
  auto there = over_plan(back.state, rows, warnings);
  if (!there) return there.error();
  rows = *std::move(there);
  std::string last_name;
  std::vector<double> last_loads;
  for (const Repeats& repeats : group_repeats(rows)) {
    const Reading& r = repeats.first();
    if (const auto sound = check_reading(back.state, r); !sound) return sound.error();
    auto stated = stated_loads(back.state, r);
    if (!stated) return stated.error();
    std::vector<double> loads = back.loads;
    if (request.after_coat)
      for (double& load : loads)
        load *= static_cast<double>(*request.after_coat) / back.coats;
    if (*stated) loads = **stated;
    const auto regridded = on_grid(*mean_spectrum(repeats), back.state.problem.palette.grid);
    if (!regridded.done.empty()) warnings.push_back(line_of({regridded.done, r.name}));
    for (const std::string& words : apart_in_words(repeats)) warnings.push_back(words);
    NamedTrial kept{r.name,
                    {loads, false, regridded.value},
                    each_of(repeats, back.state.problem.palette.grid)};
    const auto known = std::find_if(trials.begin(), trials.end(),
                                    [&](const NamedTrial& one) { return is_same(one, kept); });
    if (known != trials.end()) {
      known->repeats = std::move(kept.repeats);
      warnings.push_back("'" + r.name + "' was given twice; it counts as one trial");
      continue;
    }
    if (r.name == last_name) {
      kept.trial.same_sheet = true;
      for (std::size_t c = 0; c < loads.size(); ++c) kept.trial.added[c] -= last_loads[c];
      if (std::any_of(kept.trial.added.begin(), kept.trial.added.end(),
                      [](double load) { return load < -1e-12; }))
        return bad_input("'" + r.name + "' carries less than before; colour cannot be taken away",
                         text_of(r.source));
    } else if (back.on_sheet_in_hand && !*stated && !trials.empty()) {
      kept.trial.same_sheet = true;
    }
    last = r;
    last_name = r.name;
    last_loads = loads;
    trials.push_back(std::move(kept));
  }
  return {};
}

Spreads spreads_of(const CorrectRequest& request, const WashState& state) {
  Spreads spreads = mendtone::spreads_of(state.problem.palette);
  spreads.model_de00 = std::hypot(spreads.model_de00, state.another_lot_de00 / 1.54);
  spreads.pick_up = state.dispensing.pick_up_sd;
  spreads.dosing = request.dosing_sd.value_or(spreads.dosing);
  spreads.pick_up = request.pick_up_sd.value_or(spreads.pick_up);
  spreads.strength = request.strength_sd.value_or(spreads.strength);
  return spreads;
}

std::vector<int> used_in(const std::vector<NamedTrial>& trials) {
  std::vector<int> used;
  for (std::size_t c = 0; c < trials.back().trial.added.size(); ++c)
    if (std::any_of(trials.begin(), trials.end(),
                    [&](const NamedTrial& t) { return t.trial.added[c] > 0; }))
      used.push_back(static_cast<int>(c));
  return used;
}

/// A proposal as a recipe: its drops counted on what is on the sheet, its colour with the offset.
PlannedRecipe as_recipe(const WashState& state, const Learnt& learnt, const Correction& correction,
                     const std::string& kind) {
  WashState at = state;
  at.problem = with_offsets(state.problem, correction.offsets);
  at.dispensing.on_sheet = correction.on_sheet;
  at.dispensing.strength.clear();
  for (const LearntStrength& c : learnt.colorants) at.dispensing.strength.push_back(c.strength);
  if (kind == "coat") {
    at.dispensing.laid_ml /= std::max(1, at.dispensing.coats);  // as wet as one of the coats before
    at.dispensing.coats = 1;
  }
  PlannedRecipe made = complete(at, {correction.loads, correction.colour, false});
  made.kind = kind;
  const auto seen_with = [&](const std::vector<double>& loads) {
    std::vector<double> there = correction.on_sheet;
    for (std::size_t c = 0; c < there.size(); ++c)
      there[c] += loads[c] * learnt.colorants[c].strength;
    return *expected(state.problem, there, correction.offsets);
  };
  for (Coat& coat : made.coats) coat.colour = seen_with(coat.loads);
  if (made.dispense) made.dispense->colour = seen_with(made.dispense->loads);
  return made;
}

/// How sure the last trial's difference from the aim is: its repeats, seen in their place, against
/// an aim that is taken to have been read as carefully.
Result<Change> from_aim(const WashState& state, const NamedTrial& trial, const LightColour& now) {
  const LightAim& light = state.problem.lights[0];
  const Lab mean = light.weights.lab_unchecked(trial.trial.reflectance);
  std::vector<Lab> read, aimed;
  for (const std::vector<double>& repeat : trial.repeats) {
    const Lab one = light.weights.lab_unchecked(repeat);
    const Lab off{one.L - mean.L, one.a - mean.a, one.b - mean.b};
    read.push_back({now.lab.L + off.L, now.lab.a + off.a, now.lab.b + off.b});
    aimed.push_back({light.aim.L + off.L, light.aim.a + off.a, light.aim.b + off.b});
  }
  ChangeSettings settings;
  settings.tolerance_de00 = state.tolerance_de00;
  return change({light.aim, aimed}, {now.lab, read}, settings);
}

/// What is really laid down: whole drops where they are counted.
const LightColour& laid_down(const PlannedRecipe& made) {
  return made.dispense && made.dispense->whole_drops ? made.dispense->colour.by_light[0]
                                                     : made.recipe.colour.by_light[0];
}

/// Stop, read again, or go on: the one place where a correction says so.
std::string what_now(const CorrectAnswer& answer, const WashState& state, const Reading* last) {
  const std::array<double, 2>& range = *answer.trial.interval95;
  const std::string found = "The trial's difference from the aim is " +
                            fixed(answer.trial.aim_de00, 2) + " (95 %: " + fixed(range[0], 2) +
                            " to " + fixed(range[1], 2) + "), the tolerance " +
                            fixed(state.tolerance_de00, 2) + ". ";
  if (*answer.trial.verdict == Verdict::within) {
    const bool pasted = last && last->state == State::pasted;
    return "Near enough: stop. " + found +
           (is_film(state) || pasted ? "" : "Paste one offcut, let it dry, and read it.");
  }
  if (*answer.trial.verdict == Verdict::undecided)
    return "It cannot be decided whether this is near enough. " + found +
           "Read the trial two more times, and lift the instrument each time.";
  if (answer.recipes.empty())
    return "Not near enough. " + found +
           "No coat and no new mix is expected to come nearer. Try another tissue, more colorants, "
           "or smaller drops.";
  return "Not near enough yet. " + found + "Recipe 1 is expected to come nearer.";
}

/// What was learnt of the colorants that were ever laid down.
results::Learned learned_of(const WashState& state, const Learnt& learnt,
                            const std::vector<NamedTrial>& trials) {
  results::Learned told{{}, learnt.offset, learnt.of_which_dosing};
  for (std::size_t c = 0; c < learnt.colorants.size(); ++c)
    if (std::any_of(trials.begin(), trials.end(),
                    [&](const NamedTrial& t) { return t.trial.added[c] > 0; }))
      told.colorants.push_back({state.problem.palette.colorants[c].name,
                                learnt.colorants[c].strength, learnt.colorants[c].u95});
  return told;
}

}  // namespace

Result<CorrectAnswer> correct(const CorrectRequest& request, const InputPlace& place) {
  auto back = read_back(request, place);
  if (!back) return back.error();
  const WashState& state = back->state;
  const Palette& palette = state.problem.palette;
  CorrectAnswer answer;
  std::vector<NamedTrial> trials;
  for (const results::KeptTrial& kept : back->trials)
    trials.push_back({kept.name,
                      {results::loads_in(palette, kept.added), kept.same_sheet, kept.reflectance},
                      {kept.reflectance}});
  std::optional<Reading> last;
  if (const auto put = put_trials(request, place, *back, trials, answer.warnings, last); !put)
    return put.error();
  const Spreads spreads = spreads_of(request, state);
  const std::vector<int> used = used_in(trials);
  if (used.empty() || used.size() > 5)
    return bad_input(
        "a correction works with 1 to 5 colorants laid down, found " + std::to_string(used.size()),
        "--trial");
  const auto excluded = excluded_since(palette, used, place);
  if (!excluded) return excluded.error();
  for (const std::string& words : lines_of(*excluded)) answer.warnings.push_back(words);
  std::vector<Trial> read;
  for (const NamedTrial& one : trials) {
    read.push_back(one.trial);
    answer.trials.push_back({one.name, one.trial.same_sheet,
                             results::loads_of(palette, one.trial.added), one.trial.reflectance});
  }
  const Corrections found =
      MENDTONE_TRY(
      mendtone::correct(state.problem, state.trial_place, used, read, spreads));
  const LightColour& now = found.now.by_light[0];
  answer.lights = state.lights;
  answer.observer_deg = state.observer_deg;
  const Change sure = MENDTONE_TRY(from_aim(state, trials.back(), now));
  answer.trial = {results::ReadLab(found.learnt.last),
                  now.de00,
                  found.learnt.measured_de00,
                  now.aim_de00,
                  results::PredictedLab(found.learnt.predicted),
                  static_cast<int>(trials.back().repeats.size()),
                  sure.interval95,
                  sure.verdict};
  answer.learned = learned_of(state, found.learnt, trials);
  answer.spreads = {spreads.dosing, spreads.pick_up, spreads.strength, spreads.model_de00};
  std::vector<PlannedRecipe> recipes{as_recipe(state, found.learnt, found.coat, "coat"),
                                     as_recipe(state, found.learnt, found.mix, "mix")};
  if (!found.coat_is_nearer) std::swap(recipes[0], recipes[1]);
  answer.searched = recipes.size();
  std::erase_if(recipes, [&](const PlannedRecipe& made) {
    return !lays_anything(made.recipe) || laid_down(made).aim_de00 >= now.aim_de00;
  });
  answer.within_tolerance =
      sure.verdict == Verdict::within ||
      (!recipes.empty() && laid_down(recipes.front()).aim_de00 <= state.tolerance_de00);
  answer.recipes = told(state, recipes);
  if (!answer.recipes.empty()) answer.notes.emplace_back(common_practice_note);
  answer.problem = plan_of(state);
  answer.what_now = what_now(answer, state, last ? &*last : nullptr);
  const bool leave = std::all_of(found.coat.loads.begin(), found.coat.loads.end(),
                                 [](double load) { return load == 0; });
  if (leave)
    answer.notes.push_back("nothing that can be added brings " +
                           std::string(is_film(state) ? "the fill" : "the sheet") +
                           " in hand nearer; it lies " + fixed(now.aim_de00, 2) +
                           " DeltaE00 from the aim");
  return answer;
}

}  // namespace mendtone::app
