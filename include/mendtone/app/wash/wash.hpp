#pragma once
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "mendtone/app/inputs/readings.hpp"
#include "mendtone/app/inputs/viewing.hpp"
#include "mendtone/match/coats.hpp"
#include "mendtone/match/dispense.hpp"
#include "mendtone/match/recipe.hpp"

namespace mendtone::app {

struct WashRequest {
  std::string target;                 ///< --for: a file
  std::string target_name;            ///< which reading, where the file holds several
  std::vector<std::string> backings;  ///< files in which the backings were read, if not in those
  std::string on;                     ///< --on: a file, or the name of the calibrated tissue
  std::string on_name;                ///< which tissue, where the file holds several
  std::string palette;                ///< --from: what `colorant --out` wrote
  std::string over;  ///< --over: a backing's name; a film's fill, read over one, needs none
  int plies = 1;
  Use use = Use::loss;
  Side side = Side::back;
  std::optional<Application> application;  ///< blank: the palette's
  int at_most = 3;
  int top = 10;
  std::vector<std::pair<std::string, std::string>> exclude;  ///< colorant, reason
  std::vector<std::pair<std::string, double>> max_load;      ///< colorant (empty: all), load
  double aim_dL = 0, aim_dC = 0;
  RecipeWeights weights;
  ViewingRequest viewing;  ///< no light named: D65 (viewing), LED-B1, B2, B3 and A
  std::string light_sheet = "D65";
  double tolerance_de00 = 1.8;
  bool tolerance_is_default = true;
  std::optional<Method> method;  ///< blank: a bath; a film is always brushed
  std::string stocks;            ///< stock file; empty: loads only
  std::optional<double> pick_up_ml_m2;
  double pick_up_sd = 0.05;
  std::optional<double> volume_ml, area_m2;
  std::optional<double> laid_ml;  ///< brush: of the volume, in all; blank: the whole of it
  int sheets = 1, coats = 5;
  double tray_ml = 0;
  std::vector<double> let_down;  ///< factors of the bath, for paler sheets
  std::string gaps;              ///< file with the tones that the drawer lacks
  std::optional<Scale> scale;
  InputPlace record;
  int threads = 1;
};

struct GapFilled {
  double factor = 1;
  std::string gap;
  double de00 = 0;
};

/// One recipe with everything that is done with it.
struct WashRecipe {
  std::string kind = "mix";  ///< "mix" for a fresh sheet, "coat" for the sheet in hand
  Recipe recipe;
  double u95_de00 = 0;
  std::vector<Coat> coats;
  std::optional<DispensePlan> dispense;
  std::vector<std::string> no_dispense;  ///< why not
  std::vector<LetDown> let_down;
  std::vector<GapFilled> gaps;
  std::vector<std::string> cautions;
};

/// Everything that a wash was planned from: a correction needs nothing else.
struct WashState {
  WashProblem problem;
  std::string target, tissue, over;
  Setting trial_place;  ///< the tissue alone over the backing of use: where a trial is read
  std::vector<std::string> lights;  ///< with their origin
  int observer_deg = 10;
  Use use = Use::loss;
  Side side = Side::back;
  double aim_dL = 0, aim_dC = 0;
  double tolerance_de00 = 1.8;
  std::string tolerance_origin;
  std::string light_sheet;
  DispenseProblem dispensing;
  bool can_dispense = false;
  std::vector<std::string> no_dispense;
  double another_lot_de00 = 0;          ///< what a palette from another lot adds to the uncertainty
  std::vector<std::string> brightener;  ///< of sheet and tissue, those in which one was found
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

/// A change that would bring an unreachable target nearer, computed.
struct Nearer {
  std::string what;
  double de00 = 0;
};

struct WashAnswer {
  WashState state;
  std::vector<WashRecipe> recipes;
  Predicted untoned;
  std::uint64_t searched = 0, skipped = 0;  ///< see WashResult
  bool exact = false;
  std::string proof, why_not_exact;
  bool reached = false;        ///< the best recipe lies within the tolerance of the aim
  std::vector<Nearer> nearer;  ///< where it does not
  std::vector<std::string> notes;
  std::vector<Warning> warnings;
};

/// Plans washes (absorbed) or retouching films. Refuses a wash or bath on original paper.
Result<WashAnswer> wash(const WashRequest& request);

/// What has to be done or watched with these loads. Shown beside every recipe.
std::vector<std::string> wash_cautions(const WashState& state, const std::vector<double>& loads);

/// Fills in coats, dispensing, uncertainty and cautions of a recipe.
WashRecipe complete(const WashState& state, Recipe recipe);

std::string to_text(const WashAnswer&);
std::string to_json(const WashAnswer&);
/// One line a recipe and colorant.
std::string to_csv(const WashAnswer&);
/// False (exit 5) where no recipe lies within the tolerance.
inline bool has_answer(const WashAnswer& answer) {
  return answer.reached;
}

}  // namespace mendtone::app
