#pragma once
#include <optional>
#include <string>
#include <vector>

#include "mendtone/match/recipe.hpp"

namespace mendtone {

enum class Method { bath, brush };
std::string_view name_of(Method);

/// A colorant ready to drop out.
struct Stock {
  std::string name;
  std::string colorant;
  /// Load units in 1 ml: grams of dry colorant (weigh 1 ml dried on foil) for g_m2, 1 for ml_m2.
  double strength_per_ml = 0;
  std::optional<double> ml_per_drop;  ///< from weighing n drops
};

/// How a recipe is to be made up.
///   bath: load = strength of the bath x pick-up x coats; the volume alone fixes ml and water.
///   brush: load = what is in the volume laid down / area; what is not laid down stays in the dish.
struct DispenseProblem {
  Method method = Method::bath;
  double volume_ml = 0;
  double laid_ml = 0;        ///< brush: of the volume, in all; 0: the whole of it
  double pick_up_ml_m2 = 0;  ///< bath: wet minus dry weight over area, of one dip
  double pick_up_sd = 0.05;  ///< relative; of one sheet to the next
  double area_m2 = 0;        ///< of one sheet
  int sheets = 1;
  int coats = 1;
  double tray_ml = 0;  ///< what the tray needs to be covered at all
  std::vector<Stock> stocks;
  /// A coat on a sheet that is toned already: loads there, and what stocks turned out to be worth,
  /// one a colorant, by the calibration's measure. Empty: a fresh sheet, stocks as calibrated.
  std::vector<double> on_sheet, strength;
};

std::vector<std::string> faults(const DispenseProblem& problem, const WashProblem& wash,
                                const std::vector<double>& loads);

struct Dispensed {
  std::string stock;         ///< "water" for the last item
  double ml = 0;             ///< exact
  std::optional<int> drops;  ///< of the whole-drop recipe; blank: no dropper was calibrated
  double drops_ml = 0;       ///< what those drops come to
};

struct DispensePlan {
  std::vector<Dispensed> items;  ///< one a stock that is used, then water
  double volume_ml = 0;
  double laid_ml = 0;           ///< brush: of it, in all coats
  bool whole_drops = false;     ///< every stock has a dropper
  std::vector<double> loads;    ///< that the whole drops give, all coats
  Predicted colour;             ///< of those
  double one_drop_de00 = 0;     ///< the most that one drop more or less of any stock in it changes
  std::string one_drop_stock;   ///< of which
  double pick_up_u95_de00 = 0;  ///< what 95 of 100 sheets stay within, from the pick-up's spread
  double needed_ml = 0;         ///< bath: sheets, coats and tray
  double taken_per_dip_ml = 0;  ///< bath
  double loss_per_dip = 0;      ///< bath topped up with water: share of its strength
  double last_dip_de00 = 0;     ///< bath topped up: first sheet's coat against the last sheet's
  std::vector<std::string> advice;
};

/// Millilitres, drops and water. The whole-drop recipe is found by trying every combination near
/// the exact one (two drops either way) and keeping the best by the wash's own objective; it is not
/// rounding. Refuses what `faults` finds, naming it all.
Result<DispensePlan> dispense(const DispenseProblem& problem, const WashProblem& wash,
                              const std::vector<double>& loads);

}  // namespace mendtone
