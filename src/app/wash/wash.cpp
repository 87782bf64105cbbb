#include "mendtone/app/wash/wash.hpp"

#include <algorithm>
#include <cmath>
#include <thread>

#include "app/inputs/text.hpp"
#include "app/wash/plan.hpp"
#include "app/wash/wash_care.hpp"
#include "app/wash/wash_prepare.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::app {
namespace {

/// Within this an aim counts as met; a whole tolerance would hide that something better exists.
constexpr double met_de00 = 0.5;

double best_distance(const std::vector<Recipe>& recipes) {
  return recipes.front().colour.by_light[0].aim_de00;
}

/// Solves a changed problem and keeps it where it comes nearer.
void try_change(const WashProblem& changed, const std::string& what, double now, int threads,
                std::vector<results::Nearer>& nearer) {
  WashProblem one = changed;
  one.top = 1;
  const auto found = search_recipes(one, threads);
  if (!found) return;
  const double de = best_distance(found->recipes);
  if (de < now - 0.1) nearer.push_back({what, de});
}

std::vector<results::Nearer> what_would_help(const PreparedWash& prepared, const Recipe& best,
                                             int threads) {
  const WashProblem& problem = prepared.state.problem;
  const double now = best.colour.by_light[0].aim_de00;
  std::vector<results::Nearer> nearer;
  for (std::size_t i = 0; i < problem.excluded.size(); ++i) {
    WashProblem changed = problem;
    changed.excluded.erase(changed.excluded.begin() + static_cast<std::ptrdiff_t>(i));
    try_change(changed, "allowing '" + problem.excluded[i].colorant + "'", now, threads, nearer);
  }
  if (problem.at_most < 4) {
    WashProblem changed = problem;
    ++changed.at_most;
    try_change(changed, "one colorant more", now, threads, nearer);
  }
  for (std::size_t c = 0; c < problem.max_load.size(); ++c) {
    if (!(best.loads[c] >= problem.max_load[c] * (1 - 1e-9))) continue;
    WashProblem changed = problem;
    changed.max_load[c] *= 2;
    try_change(changed,
               "twice the highest load of '" + problem.palette.colorants[c].name +
                   "' (beyond what was calibrated: read a stronger rung first)",
               now, threads, nearer);
  }
  if (problem.palette.application == Application::absorbed)
    for (int by : {-1, 1}) {
      WashProblem changed = problem;
      changed.plies += by;
      if (changed.plies >= 1)
        try_change(changed, counted(static_cast<std::size_t>(changed.plies), "ply", "plies"), now,
                   threads, nearer);
    }
  if (problem.palette.application == Application::film) {
    WashProblem changed = problem;
    changed.place.below = problem.palette.support;
    try_change(changed,
               "a fill as light as '" + problem.palette.substrate +
                   "', on which the colorants were calibrated",
               now, threads, nearer);
  }
  for (const auto& [name, place] : prepared.other_backings) {
    WashProblem changed = problem;
    changed.place = place;
    try_change(changed, "'" + name + "' behind the fill", now, threads, nearer);
  }
  std::sort(nearer.begin(), nearer.end(), [](const results::Nearer& a, const results::Nearer& b) {
    return a.aim_de00 < b.aim_de00;
  });
  return nearer;
}

}  // namespace

PlannedRecipe complete(const WashState& state, Recipe recipe) {
  PlannedRecipe made;
  const std::vector<double>& loads = recipe.loads;
  made.coats = *coats(state.problem, loads, std::max(1, state.dispensing.coats));
  made.no_dispense = state.no_dispense;
  if (state.can_dispense && lays_anything(recipe)) {
    made.no_dispense = faults(state.dispensing, state.problem, loads);
    if (made.no_dispense.empty()) made.dispense = *dispense(state.dispensing, state.problem, loads);
  }
  // Median to 95 % of a difference with three like axes: 1.82.
  const double model = 1.82 * state.problem.palette.cross_validated_de00;
  const double pick_up = made.dispense ? made.dispense->pick_up_u95_de00 : 0;
  made.u95_de00 = std::hypot(model, state.another_lot_de00, pick_up);
  made.cautions = wash_cautions(state, loads);
  made.recipe = std::move(recipe);
  made.darker_chance = darker_chance_of(state, made);
  return made;
}

namespace {

Result<void> put_batch(const WashRequest& request, const InputPlace& place, const WashState& state,
                       std::vector<PlannedRecipe>& recipes) {
  if (request.let_down.empty()) return {};
  std::vector<std::string> names;
  std::vector<Lab> gaps;
  if (!request.gaps.empty()) {
    auto file = load({{request.gaps}, request.scale}, place);
    if (!file) return file.error();
    const TristimulusWeights& view = state.problem.lights.front().weights;
    for (const Repeats& repeats : group_repeats(file->readings)) {
      if (!repeats.spectral()) continue;
      names.push_back(repeats.name());
      gaps.push_back(*view.lab(on_grid(*mean_spectrum(repeats), view.grid).value));
    }
    if (gaps.empty()) return bad_input("no spectral reading was found", request.gaps);
  }
  for (PlannedRecipe& made : recipes) {
    made.let_down =
        MENDTONE_TRY(let_down_series(state.problem, made.recipe.loads, request.let_down, gaps));
    for (std::size_t g = 0; g < gaps.size(); ++g) {
      const auto best = std::min_element(
          made.let_down.begin(), made.let_down.end(),
          [&](const LetDown& a, const LetDown& b) { return a.gap_de00[g] < b.gap_de00[g]; });
      made.gaps.push_back({names[g], best->factor, best->gap_de00[g]});
    }
  }
  return {};
}

std::string stop_note(const WashState& state) {
  const std::string after =
      " after coat " + std::to_string(first_trial_coat(std::max(1, state.dispensing.coats)));
  return (is_film(state) ? "stop" + after + ", let it dry and read it"
                         : "stop and read the dry sheet" + after) +
         ": colour can be added, never taken away; then let the reading correct the recipe";
}

/// Lighter, never darker: what the aim is.
std::string lighter_note(const WashState& state) {
  const std::string by = fixed_signed(state.aim_dL, 1) + " L*";
  return "the aim is " + by + " from the sheet" +
         (state.use == Use::loss ? ": a fill is kept lighter, never darker" : "") +
         " (common practice, no source); another aim, 0 too, may be asked for";
}

std::string weights_in_words(const WashState& state) {
  const RecipeWeights& w = state.problem.weights;
  return "root of " + shortest(w.viewing) + " viewing^2 + " + shortest(w.worst) +
         " worst light^2 + " +
         (is_film(state) ? std::string() : shortest(w.transmitted) + " light sheet^2 + ") +
         shortest(w.colorants) + " x colorants + " + shortest(w.load) + " x loads/highest";
}

std::string verdict_of(const WashState& state, bool within) {
  const std::string tolerance =
      "the tolerance (DeltaE00 " + shortest(state.tolerance_de00) + " from the aim)";
  return within ? "The best recipe comes within " + tolerance + "."
                : "No recipe comes within " + tolerance +
                      ". The nearest colour that can be reached is recipe 1.";
}

}  // namespace

Result<WashAnswer> wash(const WashRequest& request, const InputPlace& place) {
  auto prepared = prepare_wash(request, place);
  if (!prepared) return prepared.error();
  const WashState& state = prepared->state;
  const int threads = request.threads > 0
                          ? request.threads
                          : static_cast<int>(std::max(1u, std::thread::hardware_concurrency()));
  // What may come out darker gives way to what is nearly as near: so some more are looked at.
  WashProblem wider = state.problem;
  wider.top = std::max(3 * wider.top, 30);
  auto found = search_recipes(wider, threads, place.going);
  if (!found) return found.error();
  WashAnswer answer;
  answer.application = state.problem.palette.application;
  answer.lights = state.lights;
  answer.observer_deg = state.observer_deg;
  answer.sheet = results::ReadLab(state.problem.lights[0].sheet);
  answer.aim = state.problem.lights[0].aim;
  answer.tolerance_de00 = state.tolerance_de00;
  answer.tolerance_origin = state.tolerance_origin;
  const LightColour& untoned = found->untoned.by_light[0];
  answer.untoned = {results::PredictedLab(untoned.lab), untoned.de00};
  answer.searched = found->searched;
  answer.skipped = found->skipped;
  answer.exact = found->exact;
  answer.proof = found->proof;
  answer.why_not_exact = found->why_not_exact;
  answer.objective = weights_in_words(state) + " + " + shortest(request.darker_weight) +
                     " x the chance of coming out darker than the sheet";
  answer.warnings = lines_of(prepared->warnings);
  answer.notes = prepared->notes;
  const Recipe best = found->recipes.front();
  const double distance = best_distance(found->recipes);
  if (distance > met_de00) answer.nearer = what_would_help(*prepared, best, threads);
  std::vector<PlannedRecipe> recipes;
  for (Recipe& recipe : found->recipes) recipes.push_back(complete(state, std::move(recipe)));
  put_in_order(state, request.darker_weight, static_cast<std::size_t>(state.problem.top), recipes);
  answer.within_tolerance =
      std::any_of(recipes.begin(), recipes.end(), [&](const PlannedRecipe& made) {
        return made.recipe.colour.by_light[0].aim_de00 <= state.tolerance_de00;
      });
  answer.verdict = verdict_of(state, answer.within_tolerance);
  if (const auto put = put_batch(request, place, state, recipes); !put) return put.error();
  if (lays_anything(recipes.front().recipe)) answer.notes.push_back(stop_note(state));
  answer.notes.push_back(lighter_note(state));
  for (std::string& note : MENDTONE_TRY(light_notes(request, state, recipes, place)))
    answer.notes.push_back(std::move(note));
  answer.notes.emplace_back(common_practice_note);
  answer.recipes = told(state, recipes);
  answer.problem = plan_of(state);
  return answer;
}

}  // namespace mendtone::app
