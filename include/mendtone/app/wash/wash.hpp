#pragma once
#include <optional>
#include <string>
#include <vector>

#include "mendtone/app/inputs/readings.hpp"
#include "mendtone/app/inputs/viewing.hpp"
#include "mendtone/match/coats.hpp"
#include "mendtone/match/dispense.hpp"
#include "mendtone/match/recipe.hpp"
#include "mendtone/results/wash.hpp"

namespace mendtone::app {

using results::WashAnswer;
using results::WashRequest;

/// One recipe with everything that is done with it.
struct PlannedRecipe {
  std::string kind = "mix";  ///< "mix" for a fresh sheet, "coat" for the sheet in hand
  Recipe recipe;
  double u95_de00 = 0;
  double darker_chance = 0;  ///< of coming out darker than the sheet
  std::vector<Coat> coats;
  std::optional<DispensePlan> dispense;
  std::vector<std::string> no_dispense;  ///< why not
  std::vector<LetDown> let_down;
  std::vector<results::GapFilled> gaps;
  std::vector<std::string> cautions;
};

/// Everything that a wash was planned from: a correction needs nothing else.
struct WashState {
  WashProblem problem;
  std::string target, tissue, over;
  Setting trial_place;  ///< the tissue alone over the backing of use: where a trial is read
  std::vector<results::LightNamed> lights;
  int observer_deg = 10;
  Use use = Use::loss;
  Side side = Side::back;
  double aim_dL = 0, aim_dC = 0;
  double tolerance_de00 = results::match_tolerance_de00;
  std::string tolerance_origin;
  std::string light_sheet;
  DispenseProblem dispensing;
  bool can_dispense = false;
  std::vector<std::string> no_dispense;
  double another_lot_de00 = 0;          ///< what a palette from another lot adds to the uncertainty
  std::vector<std::string> brightener;  ///< of sheet and tissue, those in which one was found
  results::Care care;                   ///< what the cautions depend on besides
};

inline bool is_film(const WashState& state) {
  return state.problem.palette.application == Application::film;
}

/// False: the recipe is to leave it as it is.
inline bool lays_anything(const Recipe& recipe) {
  for (double load : recipe.loads)
    if (load > 0) return true;
  return false;
}

/// Plans washes (absorbed) or retouching films. Refuses a wash or bath on original paper.
Result<WashAnswer> wash(const WashRequest& request, const InputPlace& place = {});

/// What has to be done or watched with these loads, chosen by act, sheet and colorants. Shown beside
/// every recipe.
std::vector<std::string> wash_cautions(const WashState& state, const std::vector<double>& loads);

/// Fills in coats, dispensing, uncertainty and cautions of a recipe.
PlannedRecipe complete(const WashState& state, Recipe recipe);

std::string to_text(const WashAnswer&);
/// False (exit 5) where no recipe lies within the tolerance.
inline bool has_answer(const WashAnswer& answer) {
  return answer.within_tolerance;
}

}  // namespace mendtone::app
