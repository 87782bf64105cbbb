#include "mendtone/app/wash/correct.hpp"

#include <algorithm>
#include <cmath>

#include "app/inputs/text.hpp"
#include "app/wash/plan.hpp"
#include "mendtone/results/walk.hpp"
#include "mendtone/base/numbers.hpp"
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
  return ReadBack{*std::move(state), trials, std::move(loads), recipe.kind == "coat"};
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
  const bool there = r.backing.empty() || r.backing == state.over ||
                     (film && (state.over.empty() || r.backing == state.tissue));
  if (!there)
    return bad_input("read over '" + r.backing + "'; the " + (film ? "film" : "wash") +
                         " was planned over '" + state.over + "': read it there",
                     where);
  if (r.plies && *r.plies != state.problem.plies && !film)
    return bad_input("read in " + counted(static_cast<std::size_t>(*r.plies), "ply", "plies") +
                         ", planned in " + std::to_string(state.problem.plies),
                     where);
  return {};
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
};

/// Trials of the files, after those that are known. The same name with more on it is the same
/// sheet with one more coat.
Result<void> put_trials(const CorrectRequest& request, const InputPlace& place,
                        const ReadBack& back, std::vector<NamedTrial>& trials,
                        std::vector<std::string>& warnings) {
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
        load *= static_cast<double>(*request.after_coat) / std::max(1, back.state.dispensing.coats);
    if (*stated) loads = **stated;
    const auto regridded = on_grid(*mean_spectrum(repeats), back.state.problem.palette.grid);
    if (!regridded.done.empty()) warnings.push_back(line_of({regridded.done, r.name}));
    NamedTrial kept{r.name, {loads, false, regridded.value}};
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
                      {results::loads_in(palette, kept.added), kept.same_sheet, kept.reflectance}});
  if (const auto put = put_trials(request, place, *back, trials, answer.warnings); !put)
    return put.error();
  const Spreads spreads = spreads_of(request, state);
  const std::vector<int> used = used_in(trials);
  if (used.empty() || used.size() > 5)
    return bad_input(
        "a correction works with 1 to 5 colorants laid down, found " + std::to_string(used.size()),
        "--trial");
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
  answer.trial = {results::ReadLab(found.learnt.last), now.de00, found.learnt.measured_de00,
                  now.aim_de00};
  answer.learned = learned_of(state, found.learnt, trials);
  answer.spreads = {spreads.dosing, spreads.pick_up, spreads.strength, spreads.model_de00};
  std::vector<PlannedRecipe> recipes{as_recipe(state, found.learnt, found.coat, "coat"),
                                     as_recipe(state, found.learnt, found.mix, "mix")};
  if (!found.coat_is_nearer) std::swap(recipes[0], recipes[1]);
  answer.within_tolerance =
      recipes.front().recipe.colour.by_light[0].aim_de00 <= state.tolerance_de00;
  answer.recipes = told(state, recipes);
  answer.searched = recipes.size();
  answer.problem = plan_of(state);
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
