#include "app/wash/plan.hpp"

#include "app/tissue/sheet_seen.hpp"
#include "mendtone/base/words.hpp"
#include "mendtone/colour/difference.hpp"

namespace mendtone::app {
namespace {

using results::loads_of;
using results::PredictedLab;

results::Transmitted transmitted(const WashState& state, const Predicted& colour) {
  const TransmittedAim& aim = state.problem.transmitted;
  results::Transmitted told{
      colour.transmitted.has_value(), {}, colour.transmitted, {}, {}, state.light_sheet};
  if (!told.known) {
    told.why = aim.why;
    return told;
  }
  told.de00 = colour.transmitted_de00;
  told.dL = colour.transmitted->L - aim.sheet.L;
  return told;
}

std::vector<results::ColourUnder> by_light(const WashState& state, const Predicted& colour) {
  std::vector<results::ColourUnder> told;
  for (std::size_t m = 0; m < colour.by_light.size(); ++m) {
    const LightColour& c = colour.by_light[m];
    const SignedDifference d = signed_difference(state.problem.lights[m].sheet, c.lab);
    told.push_back({c.light, c.lab, c.de00, d.dL, d.da, d.db,
                    state.problem.lights[m].predictable ? "" : brightener_was_found});
  }
  return told;
}

void tell_dispense(const WashState& state, const PlannedRecipe& made, results::WashRecipe& told) {
  told.no_dispense = made.no_dispense;
  if (!made.dispense) return;
  const Palette& palette = state.problem.palette;
  const DispensePlan& plan = *made.dispense;
  told.no_dispense.clear();
  for (const Dispensed& item : plan.items)
    told.dispense.push_back({item.stock, item.ml, item.drops, item.drops_ml, plan.volume_ml});
  if (plan.whole_drops) {
    const LightColour& view = plan.colour.by_light[0];
    if (!plan.one_drop_stock.empty()) told.one_drop_de00 = plan.one_drop_de00;
    told.one_drop_stock = plan.one_drop_stock;
    told.whole_drops = results::WholeDrops{loads_of(palette, plan.loads), PredictedLab(view.lab),
                                           view.de00, view.aim_de00};
  }
  told.pick_up_u95_de00 = plan.pick_up_u95_de00;
  if (state.dispensing.method == Method::brush) told.brush = results::Brushed{plan.laid_ml};
  if (state.dispensing.method == Method::bath)
    told.bath = results::Bathed{plan.needed_ml, plan.taken_per_dip_ml, plan.loss_per_dip,
                                plan.last_dip_de00};
  told.advice = plan.advice;
}

results::PlanLight plan_light(const LightAim& aim, const results::LightNamed& named) {
  const TristimulusWeights& w = aim.weights;
  return {w.light,
          named.origin,
          w.wx,
          w.wy,
          w.wz,
          w.white,
          aim.predictable,
          results::ReadLab(aim.sheet),
          aim.aim};
}

template <class Told>
TristimulusWeights weights_of(const Told& told, const WavelengthGrid& grid, int observer_deg) {
  TristimulusWeights w;
  w.grid = grid;
  w.light = told.light;
  w.observer = observer_deg == 2 ? Observer::deg2 : Observer::deg10;
  w.wx = told.x;
  w.wy = told.y;
  w.wz = told.z;
  w.white = told.white;
  return w;
}

results::PlanDispensing plan_dispensing(const WashState& state) {
  const DispenseProblem& d = state.dispensing;
  return {state.can_dispense, state.no_dispense, d.method, d.volume_ml, d.laid_ml, d.pick_up_ml_m2,
          d.pick_up_sd,       d.area_m2,         d.sheets, d.coats,     d.tray_ml, d.stocks};
}

/// The first part of a plan whose size is not that of the palette's bands; empty: all are.
std::string unfit(const results::WashPlan& plan) {
  const std::size_t bands = plan.palette.palette.grid.size();
  const auto one_a_band = [&](const auto& part, bool may_be_empty) {
    return part.size() == bands || (may_be_empty && part.empty());
  };
  for (const results::PlanLight& light : plan.lights)
    for (const auto* part : {&light.x, &light.y, &light.z})
      if (!one_a_band(*part, false)) return "lights of '" + light.light + "'";
  if (plan.transmitted.known && (!plan.transmitted.weights || !plan.transmitted.sheet))
    return "transmitted";
  if (plan.transmitted.weights)
    for (const auto* part :
         {&plan.transmitted.weights->x, &plan.transmitted.weights->y, &plan.transmitted.weights->z})
      if (!one_a_band(*part, false)) return "transmitted/weights";
  if (!one_a_band(plan.below, false)) return "place/below";
  if (!one_a_band(plan.trial_below, false)) return "place/trial_below";
  if (!one_a_band(plan.above, true)) return "place/above";
  if (!one_a_band(plan.beneath, true)) return "place/beneath";
  return {};
}

}  // namespace

results::WashRecipe told(const WashState& state, const PlannedRecipe& made, std::size_t number) {
  const Palette& palette = state.problem.palette;
  const Predicted& colour = made.recipe.colour;
  const LightColour& view = colour.by_light[0];
  const SignedDifference d = signed_difference(state.problem.lights[0].sheet, view.lab);
  results::WashRecipe told;
  told.number = number;
  told.kind = made.kind;
  told.loads = loads_of(palette, made.recipe.loads);
  told.load_unit = palette.load_unit;
  told.lab = PredictedLab(view.lab);
  told.de00 = view.de00;
  told.dL = d.dL;
  told.da = d.da;
  told.db = d.db;
  told.aim_de00 = view.aim_de00;
  told.u95_de00 = made.u95_de00;
  told.by_light = by_light(state, colour);
  told.worst_de00 = colour.by_light[colour.worst].de00;
  told.worst_light = colour.by_light[colour.worst].light;
  told.transmitted = transmitted(state, colour);
  told.objective = colour.objective;
  told.darker_chance = made.darker_chance;
  told.at_limit = made.recipe.at_limit;
  for (const Coat& coat : made.coats)
    told.coats.push_back({coat.n, loads_of(palette, coat.loads),
                          PredictedLab(coat.colour.by_light[0].lab), coat.colour.by_light[0].de00,
                          transmitted(state, coat.colour)});
  tell_dispense(state, made, told);
  for (const LetDown& sheet : made.let_down)
    told.let_down.push_back({sheet.factor, loads_of(palette, sheet.loads),
                             PredictedLab(sheet.colour.by_light[0].lab),
                             transmitted(state, sheet.colour)});
  if (!made.let_down.empty()) told.gaps = made.gaps;
  told.cautions = made.cautions;
  return told;
}

std::vector<results::WashRecipe> told(const WashState& state,
                                      const std::vector<PlannedRecipe>& made) {
  std::vector<results::WashRecipe> all;
  for (const PlannedRecipe& one : made) all.push_back(told(state, one, all.size() + 1));
  return all;
}

results::WashPlan plan_of(const WashState& state) {
  const WashProblem& p = state.problem;
  results::WashPlan plan;
  plan.target = state.target;
  plan.tissue = state.tissue;
  plan.over = state.over;
  plan.use = state.use;
  plan.side = state.side;
  plan.plies = p.plies;
  plan.observer_deg = state.observer_deg;
  plan.aim_dL = state.aim_dL;
  plan.aim_dC = state.aim_dC;
  plan.tolerance_de00 = state.tolerance_de00;
  plan.tolerance_origin = state.tolerance_origin;
  plan.another_lot_de00 = state.another_lot_de00;
  plan.brightener = state.brightener;
  plan.at_most = p.at_most;
  plan.top = p.top;
  plan.weights = p.weights;
  for (std::size_t c = 0; c < p.max_load.size(); ++c)
    plan.max_load.push_back({p.palette.colorants[c].name, p.max_load[c]});
  plan.excluded = p.excluded;
  for (std::size_t m = 0; m < p.lights.size(); ++m)
    plan.lights.push_back(plan_light(p.lights[m], state.lights[m]));
  plan.light_sheet = state.light_sheet;
  plan.transmitted = {p.transmitted.known, p.transmitted.why, {}, {}};
  if (p.transmitted.known) {
    const TristimulusWeights& w = p.transmitted.weights;
    plan.transmitted.weights =
        results::PlanTransmitted::Weights{w.light, w.wx, w.wy, w.wz, w.white};
    plan.transmitted.sheet = p.transmitted.sheet;
  }
  plan.below = p.place.below;
  plan.above = p.place.above;
  plan.beneath = p.place.beneath;
  plan.gloss = p.place.gloss;
  plan.trial_below = state.trial_place.below;
  plan.dispensing = plan_dispensing(state);
  plan.palette.palette = p.palette;
  plan.care = state.care;
  return plan;
}

Result<WashState> state_of(const results::WashPlan& plan) {
  if (const std::string part = unfit(plan); !part.empty())
    return bad_input("this is no wash: /problem/" + part + " must have one entry a band");
  WashState s;
  WashProblem& p = s.problem;
  p.palette = plan.palette.palette;
  s.target = plan.target;
  s.tissue = plan.tissue;
  s.over = plan.over;
  s.use = plan.use;
  s.side = plan.side;
  p.plies = plan.plies;
  s.observer_deg = plan.observer_deg;
  s.aim_dL = plan.aim_dL;
  s.aim_dC = plan.aim_dC;
  s.tolerance_de00 = plan.tolerance_de00;
  s.tolerance_origin = plan.tolerance_origin;
  s.another_lot_de00 = plan.another_lot_de00;
  s.brightener = plan.brightener;
  p.at_most = plan.at_most;
  p.top = plan.top;
  p.weights = plan.weights;
  p.max_load = loads_in(p.palette, plan.max_load);
  p.excluded = plan.excluded;
  if (plan.care) s.care = *plan.care;
  for (const results::PlanLight& light : plan.lights) {
    s.lights.push_back({light.light, light.origin});
    p.lights.push_back({weights_of(light, p.palette.grid, s.observer_deg), light.sheet, light.aim,
                        light.predictable});
  }
  s.light_sheet = plan.light_sheet;
  p.transmitted.known = plan.transmitted.known;
  p.transmitted.why = plan.transmitted.why;
  if (plan.transmitted.known) {
    p.transmitted.weights = weights_of(*plan.transmitted.weights, p.palette.grid, s.observer_deg);
    p.transmitted.sheet = *plan.transmitted.sheet;
  }
  p.place = {p.palette.grid, plan.below, plan.above, plan.beneath, {}, plan.gloss};
  s.trial_place.grid = p.palette.grid;
  s.trial_place.below = plan.trial_below;
  const results::PlanDispensing& d = plan.dispensing;
  s.can_dispense = d.possible;
  s.no_dispense = d.why_not;
  s.dispensing.method = d.method;
  s.dispensing.volume_ml = d.volume_ml;
  s.dispensing.laid_ml = d.laid_ml;
  s.dispensing.pick_up_ml_m2 = d.pick_up_ml_m2;
  s.dispensing.pick_up_sd = d.pick_up_sd;
  s.dispensing.area_m2 = d.area_m2;
  s.dispensing.sheets = d.sheets;
  s.dispensing.coats = d.coats;
  s.dispensing.tray_ml = d.tray_ml;
  s.dispensing.stocks = d.stocks;
  if (const auto found = faults(p); !found.empty())
    return bad_input("this is no wash: " + joined(found));
  return s;
}

}  // namespace mendtone::app
