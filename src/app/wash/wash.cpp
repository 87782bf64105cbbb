#include "mendtone/app/wash/wash.hpp"

#include <algorithm>
#include <cmath>
#include <thread>

#include "app/inputs/text.hpp"
#include "app/wash/plan.hpp"
#include "app/wash/wash_prepare.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/match/colorant_facts.hpp"

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

void add_unique(std::vector<std::string>& list, const std::string& words) {
  if (std::find(list.begin(), list.end(), words) == list.end()) list.push_back(words);
}

void caution_of_colorant(const Colorant& colorant, std::vector<std::string>& cautions) {
  if (colorant.colour_index.empty()) {
    add_unique(cautions, colorant.name +
                             ": no Colour Index name is given, so nothing is known here of its "
                             "stability; see its label and data sheet");
    return;
  }
  const auto fact = colorant_fact(colorant.colour_index);
  const std::string name = colorant.name + " (" + colorant.colour_index + ")";
  if (!fact) {
    add_unique(cautions, name + ": not in the list of facts; see its label and data sheet");
    return;
  }
  std::string words = name + ": " + fact->group + "; " + fact->fact + " [" + fact->source + "]";
  if (fact->group == "toxic")
    words +=
        ". Toxic: choose another; where it must be handled, as safety data sheets, local codes "
        "and qualified practice say";
  add_unique(cautions, words);
}

}  // namespace

std::vector<std::string> wash_cautions(const WashState& state, const std::vector<double>& loads) {
  std::vector<std::string> cautions;
  const Palette& palette = state.problem.palette;
  const bool film = is_film(state);
  if (film)
    cautions = {
        "a film goes on the fill only, inside its edge: moisture and colour can travel into the "
        "sheet",
        "test on the object's least visible spot whether media and sizing stand the moisture",
        "keep the brush nearly dry, and stop where the edge darkens"};
  else
    cautions = {"for added material only: tone and dry the tissue away from the object",
                "test on the least visible spot that the object stands paste and moisture before "
                "the tissue goes on"};
  cautions.push_back(
      std::string("whether a colorant moves when ") +
      (film ? "paste or the next coat wets it again" : "paste wets it again") +
      " is not known from dry readings: watercolour and gouache can move, dried acrylic does not "
      "(common practice, no source); " +
      (film ? "wet one dry trial patch" : "paste one offcut") + ", blot it, and read it");
  if (!film && (palette.state == State::dry || palette.state == State::unstated))
    cautions.push_back(
        "calibrated dry: expect darker and more transparent when pasted; read one pasted offcut");
  const bool brushed = film || state.dispensing.method == Method::brush;
  cautions.push_back("shake each stock before every drop and stir the wash before every " +
                     std::string(brushed ? "brushful" : "dip") + ": pigments settle");
  cautions.push_back(
      "dry pigment: raise no dust; respirator and extraction as safety data sheets "
      "and local codes say");
  for (std::size_t c = 0; c < loads.size(); ++c)
    if (loads[c] > 0) {
      caution_of_colorant(palette.colorants[c], cautions);
      if (loads[c] > palette.colorants[c].load_range[1] * (1 + 1e-9))
        cautions.push_back(palette.colorants[c].name + ": load beyond what was calibrated");
    }
  return cautions;
}

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
  auto found = search_recipes(state.problem, threads, place.going);
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
  answer.objective = weights_in_words(state);
  answer.warnings = lines_of(prepared->warnings);
  answer.notes = prepared->notes;
  const Recipe best = found->recipes.front();
  const double distance = best_distance(found->recipes);
  answer.within_tolerance = distance <= state.tolerance_de00;
  answer.verdict = verdict_of(state, answer.within_tolerance);
  if (distance > met_de00) answer.nearer = what_would_help(*prepared, best, threads);
  std::vector<PlannedRecipe> recipes;
  for (Recipe& recipe : found->recipes) recipes.push_back(complete(state, std::move(recipe)));
  if (const auto put = put_batch(request, place, state, recipes); !put) return put.error();
  if (lays_anything(recipes.front().recipe)) answer.notes.push_back(stop_note(state));
  answer.notes.push_back(
      "a fill is kept slightly lighter and duller than the sheet, never darker "
      "(common practice, no source); an aim offset sets it");
  answer.recipes = told(state, recipes);
  answer.problem = plan_of(state);
  return answer;
}

}  // namespace mendtone::app
