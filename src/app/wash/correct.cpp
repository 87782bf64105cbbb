#include "mendtone/app/wash/correct.hpp"

#include <algorithm>
#include <cmath>

#include "app/inputs/text.hpp"
#include "app/wash/wash_json.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/materials/backings.hpp"
#include "mendtone/spectral/reading_set.hpp"

namespace mendtone::app {
namespace {

/// A wash's answer, read back.
struct ReadBack {
  WashState state;
  std::vector<KeptTrial> trials;
  std::vector<double> loads;
  bool on_sheet_in_hand = false;  ///< the recipe was one more coat
};

Result<ReadBack> read_back(const CorrectRequest& request) {
  auto bytes = input_bytes(request.recipe_file, request.trials.record);
  if (!bytes) return bytes.error();
  const auto document = json_from(*bytes, request.recipe_file);
  if (!document) return document.error();
  const Json& json = *document;
  const auto here = [&](const Error& error) {
    return Error{error.code, error.message,
                 error.where.empty() ? request.recipe_file : error.where};
  };
  if (!json.contains("problem"))
    return bad_input("expected what 'mendtone wash --format json' or 'correct' wrote",
                     request.recipe_file);
  auto state = state_in(json["problem"]);
  if (!state) return here(state.error());
  ReadBack back{*std::move(state), {}, {}, false};
  auto trials = trials_in(json.contains("trials") ? json["trials"] : Json(), back.state);
  if (!trials) return here(trials.error());
  back.trials = *std::move(trials);
  auto loads = loads_in(json, back.state, request.recipe);
  if (!loads) return here(loads.error());
  back.loads = *std::move(loads);
  const Json& recipe = json["recipes"][static_cast<std::size_t>(request.recipe - 1)];
  back.on_sheet_in_hand = recipe.contains("kind") && recipe["kind"] == "coat";
  return back;
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

/// Trials of the files, after those that are known. The same name with more on it is the same
/// sheet with one more coat.
Result<void> put_trials(const CorrectRequest& request, ReadBack& back,
                        std::vector<Warning>& warnings) {
  auto file = load(request.trials);
  if (!file) return file.error();
  warnings = file->warnings;
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
    if (!regridded.done.empty()) warnings.push_back({regridded.done, r.name});
    KeptTrial kept{r.name, {loads, false, regridded.value}};
    if (r.name == last_name) {
      kept.trial.same_sheet = true;
      for (std::size_t c = 0; c < loads.size(); ++c) kept.trial.added[c] -= last_loads[c];
      if (std::any_of(kept.trial.added.begin(), kept.trial.added.end(),
                      [](double load) { return load < -1e-12; }))
        return bad_input("'" + r.name + "' carries less than before; colour cannot be taken away",
                         text_of(r.source));
    } else if (back.on_sheet_in_hand && !*stated && !back.trials.empty()) {
      kept.trial.same_sheet = true;
    }
    last_name = r.name;
    last_loads = loads;
    back.trials.push_back(std::move(kept));
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

std::vector<int> used_in(const std::vector<KeptTrial>& trials) {
  std::vector<int> used;
  for (std::size_t c = 0; c < trials.back().trial.added.size(); ++c)
    if (std::any_of(trials.begin(), trials.end(),
                    [&](const KeptTrial& t) { return t.trial.added[c] > 0; }))
      used.push_back(static_cast<int>(c));
  return used;
}

/// A proposal as a recipe: its drops counted on what is on the sheet, its colour with the offset.
WashRecipe as_recipe(const WashState& state, const Learnt& learnt, const Correction& correction,
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
  WashRecipe made = complete(at, {correction.loads, correction.colour, false});
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

}  // namespace

Result<CorrectAnswer> correct(const CorrectRequest& request) {
  auto back = read_back(request);
  if (!back) return back.error();
  CorrectAnswer answer;
  if (const auto put = put_trials(request, *back, answer.warnings); !put) return put.error();
  answer.state = back->state;
  answer.trials = back->trials;
  answer.spreads = spreads_of(request, answer.state);
  const std::vector<int> used = used_in(answer.trials);
  if (used.empty() || used.size() > 5)
    return bad_input(
        "a correction works with 1 to 5 colorants laid down, found " + std::to_string(used.size()),
        "--trial");
  std::vector<Trial> trials;
  for (const KeptTrial& kept : answer.trials) trials.push_back(kept.trial);
  const Corrections found = MENDTONE_TRY(mendtone::correct(
      answer.state.problem, answer.state.trial_place, used, trials, answer.spreads));
  answer.learnt = found.learnt;
  answer.now_de00 = found.now.by_light[0].de00;
  const double now_aim = found.now.by_light[0].aim_de00;
  answer.recipes.push_back(as_recipe(answer.state, answer.learnt, found.coat, "coat"));
  answer.recipes.push_back(as_recipe(answer.state, answer.learnt, found.mix, "mix"));
  if (!found.coat_is_nearer) std::swap(answer.recipes[0], answer.recipes[1]);
  answer.reached =
      answer.recipes.front().recipe.colour.by_light[0].aim_de00 <= answer.state.tolerance_de00;
  const bool leave = std::all_of(found.coat.loads.begin(), found.coat.loads.end(),
                                 [](double load) { return load == 0; });
  if (leave)
    answer.notes.push_back("nothing that can be added brings " +
                           std::string(is_film(answer.state) ? "the fill" : "the sheet") +
                           " in hand nearer; it lies " + fixed(now_aim, 2) +
                           " DeltaE00 from the aim");
  return answer;
}

}  // namespace mendtone::app
