#pragma once
#include <array>

#include "mendtone/colour/change.hpp"
#include "mendtone/match/recipe.hpp"
#include "mendtone/results/palette.hpp"

namespace mendtone::results {

void fields(Describe&, RecipeWeights&);
void fields(Describe&, Exclusion&);
void fields(Describe&, Stock&);

struct WashRequest {
  std::string target;                 ///< a file or name
  std::string target_name;            ///< which reading, where the file holds several
  std::vector<std::string> backings;  ///< files in which the backings were read, if not in those
  std::string on;                     ///< a file, or the name of the calibrated tissue
  std::string on_name;                ///< which tissue, where the file holds several
  std::string palette;                ///< what `colorant --out` wrote
  std::string over;  ///< a backing's name; a film's fill, read over one, needs none
  int plies = 1;
  Use use = Use::loss;
  Side side = Side::back;
  std::optional<Application> application;  ///< blank: the palette's
  int at_most = 3;
  int top = 10;
  std::vector<std::pair<std::string, std::string>> exclude;  ///< colorant, reason
  std::vector<std::pair<std::string, double>> max_load;      ///< colorant (empty: all), load
  std::optional<double> aim_dL;  ///< not stated: `default_aim_dL` of the use
  double aim_dC = 0;
  double darker_weight = default_darker_weight;
  Care care;
  RecipeWeights weights;
  ViewingRequest viewing;  ///< no light named: D65 (viewing), LED-B1, B2, B3 and A
  std::string light_sheet = "D65";
  std::optional<double> tolerance_de00;      ///< none: match_tolerance_de00
  std::optional<bool> tolerance_is_default;  ///< as version 1 said that none was stated
  std::optional<Method> method;              ///< blank: a bath; a film is always brushed
  std::string stocks;                        ///< stock file; empty: loads only
  std::optional<double> pick_up_ml_m2;
  double pick_up_sd = 0.05;
  std::optional<double> volume_ml, area_m2;
  std::optional<double> laid_ml;  ///< brush: of the volume, in all; blank: the whole of it
  int sheets = 1, coats = 5;
  double tray_ml = 0;
  std::vector<double> let_down;  ///< factors of the bath, for paler sheets
  std::string gaps;              ///< file with the tones that the drawer lacks
  std::optional<Scale> scale;
  int threads = 0;  ///< 0: all; the answer is the same
};
void fields(Describe&, WashRequest&);

/// What the sheet looks like after its n-th coat.
struct RecipeCoat {
  int n = 1;
  std::vector<Load> loads;
  PredictedLab lab;
  double de00 = 0;
  Transmitted transmitted;
};
void fields(Describe&, RecipeCoat&);

/// One item to measure out; the last of a mix is the water.
struct MeasuredOut {
  std::string stock;
  double ml = 0;
  std::optional<int> drops;
  double drops_ml = 0, of_volume_ml = 0;
};
void fields(Describe&, MeasuredOut&);

/// What the whole drops give.
struct WholeDrops {
  std::vector<Load> loads;
  PredictedLab lab;
  double de00 = 0, aim_de00 = 0;
};
void fields(Describe&, WholeDrops&);

struct Brushed {
  double laid_ml = 0;
};
void fields(Describe&, Brushed&);

struct Bathed {
  double needed_ml = 0, taken_per_dip_ml = 0, loss_per_dip = 0, last_dip_de00 = 0;
};
void fields(Describe&, Bathed&);

/// The same bath let down with water, for a paler sheet.
struct PalerSheet {
  double factor = 1;
  std::vector<Load> loads;
  PredictedLab lab;
  Transmitted transmitted;
};
void fields(Describe&, PalerSheet&);

struct GapFilled {
  std::string gap;
  double factor = 1, de00 = 0;
};
void fields(Describe&, GapFilled&);

/// One recipe with everything that is done with it.
struct WashRecipe {
  std::size_t number = 1;
  std::string kind = "mix";  ///< "mix" for a fresh sheet, "coat" for the sheet in hand
  std::vector<Load> loads;
  LoadUnit load_unit = LoadUnit::unstated;
  PredictedLab lab;
  double de00 = 0, dL = 0, da = 0, db = 0, aim_de00 = 0, u95_de00 = 0;
  std::vector<ColourUnder> by_light;
  double worst_de00 = 0;
  std::string worst_light;
  Transmitted transmitted;
  double objective = 0;
  std::optional<double> darker_chance;  ///< of coming out darker than the sheet
  bool at_limit = false;
  std::vector<RecipeCoat> coats;
  std::vector<MeasuredOut> dispense;
  std::optional<double> one_drop_de00;
  std::vector<std::string> no_dispense;
  std::string one_drop_stock;
  std::optional<WholeDrops> whole_drops;
  std::optional<double> pick_up_u95_de00;
  std::optional<Brushed> brush;
  std::optional<Bathed> bath;
  std::optional<std::vector<std::string>> advice;
  std::vector<PalerSheet> let_down;
  std::optional<std::vector<GapFilled>> gaps;
  std::vector<std::string> cautions;
};
void fields(Describe&, WashRecipe&);

/// Tristimulus weights of one light on the palette's bands, and what the sheet looks like under it.
struct PlanLight {
  std::string light, origin;
  std::vector<double> x, y, z;
  Xyz white;
  bool predictable = true;
  ReadLab sheet;
  Lab aim;
};
void fields(Describe&, PlanLight&);

struct PlanTransmitted {
  bool known = false;
  std::string why;
  struct Weights {
    std::string light;
    std::vector<double> x, y, z;
    Xyz white;
  };
  std::optional<Weights> weights;
  std::optional<Lab> sheet;
};
void fields(Describe&, PlanTransmitted&);
void fields(Describe&, PlanTransmitted::Weights&);

struct PlanDispensing {
  bool possible = false;
  std::vector<std::string> why_not;
  Method method = Method::bath;
  double volume_ml = 0, laid_ml = 0, pick_up_ml_m2 = 0, pick_up_sd = 0.05, area_m2 = 0;
  int sheets = 1, coats = 1;
  double tray_ml = 0;
  std::vector<Stock> stocks;
};
void fields(Describe&, PlanDispensing&);

/// Everything that a wash was planned from: a correction needs nothing else.
struct WashPlan {
  std::string target, tissue, over;
  std::string over_from;  ///< where that was taken from, where the question did not say it
  Use use = Use::loss;
  Side side = Side::back;
  int plies = 1, observer_deg = 10;
  double aim_dL = 0, aim_dC = 0;
  double tolerance_de00 = match_tolerance_de00;
  std::string tolerance_origin;
  double another_lot_de00 = 0;
  std::vector<std::string> brightener;
  int at_most = 3, top = 10;
  RecipeWeights weights;
  std::vector<Load> max_load;
  std::vector<Exclusion> excluded;
  std::vector<PlanLight> lights;
  std::string light_sheet;
  PlanTransmitted transmitted;
  std::vector<double> below;
  std::vector<Slab> above, beneath;
  double gloss = 0;
  std::vector<double> trial_below;
  PlanDispensing dispensing;
  PaletteDocument palette;
  std::optional<Care> care;
};
void fields(Describe&, WashPlan&);

struct Untoned {
  PredictedLab lab;
  double de00 = 0;
};
void fields(Describe&, Untoned&);

/// A change that would bring an unreachable target nearer, computed.
struct Nearer {
  std::string what;
  double aim_de00 = 0;
};
void fields(Describe&, Nearer&);

struct WashAnswer {
  Application application = Application::absorbed;
  std::vector<LightNamed> lights;
  int observer_deg = 10;
  ReadLab sheet;
  Lab aim;
  double tolerance_de00 = match_tolerance_de00;
  std::string tolerance_origin;
  std::vector<WashRecipe> recipes;
  std::uint64_t searched = 0, skipped = 0;
  bool exact = false;
  std::string proof, why_not_exact;
  bool within_tolerance = false;
  std::string verdict;  ///< that in words
  Untoned untoned;
  std::vector<Nearer> nearer;
  std::string objective;
  std::vector<std::string> notes, warnings;
  WashPlan problem;
};
void fields(Describe&, WashAnswer&);

struct CorrectRequest {
  std::string recipe_file;        ///< what `wash` or `correct` answered, as JSON
  int recipe = 1;                 ///< which of its recipes was laid down
  std::optional<int> after_coat;  ///< the trial was read after this coat of it
  Sources trials;                 ///< readings of the dry trial
  std::optional<double> dosing_sd, pick_up_sd, strength_sd;  ///< relative
};
void fields(Describe&, CorrectRequest&);

/// The last trial as it was read.
/// It has three differences, and whoever shows it shows these.
struct TrialRead {
  ReadLab lab;
  double de00 = 0;            ///< from the sheet
  double predicted_de00 = 0;  ///< from what was predicted
  double aim_de00 = 0;        ///< from the aim
  std::optional<PredictedLab> predicted;
  std::optional<int> repeats;
  std::optional<std::array<double, 2>> interval95;  ///< of aim_de00
  std::optional<Verdict> verdict;                   ///< of that interval, against the tolerance
};
void fields(Describe&, TrialRead&);

struct LearnedStrength {
  std::string colorant;
  double strength = 1, u95 = 0;  ///< against the calibration
};
void fields(Describe&, LearnedStrength&);

struct Learned {
  std::vector<LearnedStrength> colorants;
  Lab offset;
  double of_which_dosing = 0;
};
void fields(Describe&, Learned&);

struct SpreadsUsed {
  double dosing_sd = 0, pick_up_sd = 0, strength_sd = 0, model_de00 = 0;
};
void fields(Describe&, SpreadsUsed&);

/// A trial as it is kept, so that several accumulate.
struct KeptTrial {
  std::string name;
  bool same_sheet = false;
  std::vector<Load> added;
  std::vector<double> reflectance;
};
void fields(Describe&, KeptTrial&);

struct CorrectAnswer {
  std::vector<LightNamed> lights;
  int observer_deg = 10;
  TrialRead trial;
  Learned learned;
  SpreadsUsed spreads;
  /// Of the coat and the mix, those that should come nearer than the trial; the nearer first.
  std::vector<WashRecipe> recipes;
  std::size_t searched = 0;
  bool exact = false;
  bool within_tolerance = false;
  std::string what_now;  ///< whether to stop, to read again, or to go on
  std::vector<std::string> notes, warnings;
  std::vector<KeptTrial> trials;  ///< all so far
  WashPlan problem;
};
void fields(Describe&, CorrectAnswer&);

}  // namespace mendtone::results
