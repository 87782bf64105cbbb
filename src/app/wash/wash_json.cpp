#include "app/wash/wash_json.hpp"

#include "app/tissue/sheet_seen.hpp"
#include "app/wash/palette_json.hpp"
#include "mendtone/colour/difference.hpp"

namespace mendtone::app {
namespace {

Json by_colorant(const Palette& palette, const std::vector<double>& loads) {
  Json json = Json::object();
  for (std::size_t c = 0; c < loads.size(); ++c)
    if (loads[c] > 0) json[palette.colorants[c].name] = loads[c];
  return json;
}

Json transmitted_json(const WashState& state, const Predicted& colour) {
  const TransmittedAim& aim = state.problem.transmitted;
  if (!colour.transmitted)
    return {{"known", false}, {"why", aim.why}, {"light", state.light_sheet}};
  return {{"known", true},
          {"lab", to_array(*colour.transmitted)},
          {"de00", colour.transmitted_de00},
          {"dL", colour.transmitted->L - aim.sheet.L},
          {"light", state.light_sheet}};
}

Json lights_json(const WashState& state, const Predicted& colour) {
  Json json = Json::object();
  for (std::size_t m = 0; m < colour.by_light.size(); ++m) {
    const LightColour& c = colour.by_light[m];
    const SignedDifference d = signed_difference(state.problem.lights[m].sheet, c.lab);
    json[c.light] = {
        {"lab", to_array(c.lab)}, {"de00", c.de00}, {"dL", d.dL}, {"da", d.da}, {"db", d.db}};
    if (!state.problem.lights[m].predictable)
      json[c.light]["not_predictable"] = brightener_was_found;
  }
  return json;
}

Json coats_json(const WashState& state, const std::vector<Coat>& coats) {
  Json json = Json::array();
  for (const Coat& coat : coats)
    json.push_back({{"n", coat.n},
                    {"loads", by_colorant(state.problem.palette, coat.loads)},
                    {"lab", to_array(coat.colour.by_light[0].lab)},
                    {"de00", coat.colour.by_light[0].de00},
                    {"transmitted", transmitted_json(state, coat.colour)}});
  return json;
}

void put_dispense(Json& json, const WashState& state, const WashRecipe& recipe) {
  json["dispense"] = Json::array();
  json["one_drop_de00"] = nullptr;
  if (!recipe.dispense) {
    json["no_dispense"] = recipe.no_dispense;
    return;
  }
  const DispensePlan& plan = *recipe.dispense;
  for (const Dispensed& item : plan.items)
    json["dispense"].push_back({{"stock", item.stock},
                                {"ml", item.ml},
                                {"drops", item.drops ? Json(*item.drops) : Json(nullptr)},
                                {"drops_ml", item.drops_ml},
                                {"of_volume_ml", plan.volume_ml}});
  if (plan.whole_drops) {
    json["one_drop_de00"] = plan.one_drop_de00;
    json["one_drop_stock"] = plan.one_drop_stock;
    json["whole_drops"] = {{"loads", by_colorant(state.problem.palette, plan.loads)},
                           {"lab", to_array(plan.colour.by_light[0].lab)},
                           {"de00", plan.colour.by_light[0].de00},
                           {"aim_de00", plan.colour.by_light[0].aim_de00}};
  }
  json["pick_up_u95_de00"] = plan.pick_up_u95_de00;
  if (state.dispensing.method == Method::brush) json["brush"] = {{"laid_ml", plan.laid_ml}};
  if (state.dispensing.method == Method::bath)
    json["bath"] = {{"needed_ml", plan.needed_ml},
                    {"taken_per_dip_ml", plan.taken_per_dip_ml},
                    {"loss_per_dip_if_topped_up", plan.loss_per_dip},
                    {"last_dip_de00_if_topped_up", plan.last_dip_de00}};
  json["advice"] = plan.advice;
}

Json slabs_json(const std::vector<Slab>& slabs) {
  Json json = Json::array();
  for (const Slab& slab : slabs) json.push_back({slab.R12, slab.R21, slab.T});
  return json;
}

Json weights_json(const TristimulusWeights& w) {
  return {{"light", w.light}, {"x", w.wx}, {"y", w.wy}, {"z", w.wz}, {"white", to_array(w.white)}};
}

/// Takes fields out of a document; the first that does not fit is named by its pointer.
struct Taker {
  std::string wrong;

  const Json& in(const Json& parent, const std::string& name, const std::string& path) {
    static const Json nothing;
    const auto found = parent.is_object() ? parent.find(name) : parent.end();
    if (!parent.is_object() || found == parent.end()) {
      fault(path + "/" + name, "is missing");
      return nothing;
    }
    return *found;
  }
  double number(const Json& parent, const std::string& name, const std::string& path) {
    const Json& value = in(parent, name, path);
    if (value.is_number()) return value.get<double>();
    fault(path + "/" + name, "must be a number");
    return 0;
  }
  int whole(const Json& parent, const std::string& name, const std::string& path) {
    const auto value = json_whole(in(parent, name, path), 0, 1000000);
    if (!value) fault(path + "/" + name, "must be a whole number from 0 to 1000000");
    return static_cast<int>(value.value_or(0));
  }
  std::string text(const Json& parent, const std::string& name, const std::string& path) {
    const Json& value = in(parent, name, path);
    if (value.is_string()) return value.get<std::string>();
    fault(path + "/" + name, "must be a text");
    return {};
  }
  bool yes(const Json& parent, const std::string& name, const std::string& path) {
    const Json& value = in(parent, name, path);
    if (value.is_boolean()) return value.get<bool>();
    fault(path + "/" + name, "must be true or false");
    return false;
  }
  std::vector<double> list(const Json& value, const std::string& path, std::size_t count) {
    std::vector<double> numbers;
    if (value.is_array())
      for (const Json& item : value)
        if (item.is_number()) numbers.push_back(item.get<double>());
    if (numbers.size() != count || value.size() != count) {
      fault(path, "must be " + std::to_string(count) + " numbers");
      numbers.assign(count, 0);
    }
    return numbers;
  }
  Lab lab(const Json& parent, const std::string& name, const std::string& path) {
    const std::vector<double> v = list(in(parent, name, path), path + "/" + name, 3);
    return {v[0], v[1], v[2]};
  }
  std::vector<Slab> slabs(const Json& value, const std::string& path, std::size_t bands) {
    std::vector<Slab> slabs;
    if (!value.is_array() || (value.size() != 0 && value.size() != bands)) {
      fault(path, "must be empty or hold one layer a band");
      return slabs;
    }
    for (const Json& item : value) {
      const std::vector<double> v = list(item, path, 3);
      slabs.push_back({v[0], v[1], v[2]});
    }
    return slabs;
  }
  TristimulusWeights weights(const Json& json, const std::string& path, const WavelengthGrid& grid,
                             int observer_deg) {
    TristimulusWeights w;
    w.grid = grid;
    w.light = text(json, "light", path);
    w.observer = observer_deg == 2 ? Observer::deg2 : Observer::deg10;
    w.wx = list(in(json, "x", path), path + "/x", grid.size());
    w.wy = list(in(json, "y", path), path + "/y", grid.size());
    w.wz = list(in(json, "z", path), path + "/z", grid.size());
    const Lab white = lab(json, "white", path);
    w.white = {white.L, white.a, white.b};
    return w;
  }
  void fault(const std::string& path, const std::string& what) {
    if (wrong.empty()) wrong = path + " " + what;
  }
};

}  // namespace

Json recipe_json(const WashState& state, const WashRecipe& made, std::size_t number) {
  const Predicted& colour = made.recipe.colour;
  const LightColour& view = colour.by_light[0];
  const SignedDifference d = signed_difference(state.problem.lights[0].sheet, view.lab);
  Json json = {{"number", number},
               {"kind", made.kind},
               {"loads", by_colorant(state.problem.palette, made.recipe.loads)},
               {"load_unit", name_of(state.problem.palette.load_unit)},
               {"lab", to_array(view.lab)},
               {"de00", view.de00},
               {"dL", d.dL},
               {"da", d.da},
               {"db", d.db},
               {"aim_de00", view.aim_de00},
               {"u95_de00", made.u95_de00},
               {"by_light", lights_json(state, colour)},
               {"worst_de00", colour.by_light[colour.worst].de00},
               {"worst_light", colour.by_light[colour.worst].light},
               {"transmitted", transmitted_json(state, colour)},
               {"objective", colour.objective},
               {"at_limit", made.recipe.at_limit},
               {"coats", coats_json(state, made.coats)}};
  put_dispense(json, state, made);
  if (!made.let_down.empty()) {
    json["let_down"] = Json::array();
    for (const LetDown& sheet : made.let_down)
      json["let_down"].push_back({{"factor", sheet.factor},
                                  {"loads", by_colorant(state.problem.palette, sheet.loads)},
                                  {"lab", to_array(sheet.colour.by_light[0].lab)},
                                  {"transmitted", transmitted_json(state, sheet.colour)}});
    json["gaps"] = Json::array();
    for (const GapFilled& gap : made.gaps)
      json["gaps"].push_back({{"gap", gap.gap}, {"factor", gap.factor}, {"de00", gap.de00}});
  }
  json["cautions"] = made.cautions;
  return json;
}

Json state_json(const WashState& state) {
  const WashProblem& p = state.problem;
  Json json = {{"target", state.target},
               {"tissue", state.tissue},
               {"over", state.over},
               {"use", name_of(state.use)},
               {"side", name_of(state.side)},
               {"plies", p.plies},
               {"observer", state.observer_deg},
               {"aim_offset", {{"dL", state.aim_dL}, {"dC", state.aim_dC}}},
               {"tolerance_de00", state.tolerance_de00},
               {"tolerance_origin", state.tolerance_origin},
               {"another_lot_de00", state.another_lot_de00},
               {"brightener", state.brightener},
               {"at_most", p.at_most},
               {"top", p.top},
               {"weights",
                {{"viewing", p.weights.viewing},
                 {"worst", p.weights.worst},
                 {"transmitted", p.weights.transmitted},
                 {"colorants", p.weights.colorants},
                 {"load", p.weights.load}}}};
  json["max_load"] = Json::object();
  for (std::size_t c = 0; c < p.max_load.size(); ++c)
    json["max_load"][p.palette.colorants[c].name] = p.max_load[c];
  json["excluded"] = Json::array();
  for (const Exclusion& e : p.excluded)
    json["excluded"].push_back({{"colorant", e.colorant}, {"reason", e.reason}});
  json["lights"] = Json::array();
  for (std::size_t m = 0; m < p.lights.size(); ++m) {
    Json light = weights_json(p.lights[m].weights);
    light["described"] = state.lights[m];
    light["predictable"] = p.lights[m].predictable;
    light["sheet_lab"] = to_array(p.lights[m].sheet);
    light["aim_lab"] = to_array(p.lights[m].aim);
    json["lights"].push_back(std::move(light));
  }
  json["light_sheet"] = state.light_sheet;
  json["transmitted"] = {{"known", p.transmitted.known}, {"why", p.transmitted.why}};
  if (p.transmitted.known) {
    json["transmitted"]["weights"] = weights_json(p.transmitted.weights);
    json["transmitted"]["sheet_lab"] = to_array(p.transmitted.sheet);
  }
  json["place"] = {{"below", p.place.below},
                   {"above", slabs_json(p.place.above)},
                   {"beneath", slabs_json(p.place.beneath)},
                   {"gloss", p.place.gloss},
                   {"trial_below", state.trial_place.below}};
  const DispenseProblem& d = state.dispensing;
  json["dispensing"] = {{"possible", state.can_dispense},
                        {"why_not", state.no_dispense},
                        {"method", name_of(d.method)},
                        {"volume_ml", d.volume_ml},
                        {"laid_ml", d.laid_ml},
                        {"pick_up_ml_m2", d.pick_up_ml_m2},
                        {"pick_up_sd", d.pick_up_sd},
                        {"area_m2", d.area_m2},
                        {"sheets", d.sheets},
                        {"coats", d.coats},
                        {"tray_ml", d.tray_ml}};
  json["dispensing"]["stocks"] = Json::array();
  for (const Stock& s : d.stocks)
    json["dispensing"]["stocks"].push_back({{"name", s.name},
                                            {"colorant", s.colorant},
                                            {"strength_per_ml", s.strength_per_ml},
                                            {"ml_per_drop", or_null(s.ml_per_drop)}});
  json["palette"] = document("colorant");
  put_palette(json["palette"], p.palette);
  return json;
}

Result<WashState> state_in(const Json& json) {
  Taker take;
  auto palette = palette_in(take.in(json, "palette", "/problem"));
  if (!palette) return bad_input("/problem/palette: " + palette.error().message);
  WashState s;
  WashProblem& p = s.problem;
  p.palette = *std::move(palette);
  const std::string at = "/problem";
  s.target = take.text(json, "target", at);
  s.tissue = take.text(json, "tissue", at);
  s.over = take.text(json, "over", at);
  s.use = use_from(take.text(json, "use", at)).value_or(Use::loss);
  s.side = side_from(take.text(json, "side", at)).value_or(Side::back);
  p.plies = take.whole(json, "plies", at);
  s.observer_deg = take.whole(json, "observer", at);
  const Json& aim = take.in(json, "aim_offset", at);
  s.aim_dL = take.number(aim, "dL", at + "/aim_offset");
  s.aim_dC = take.number(aim, "dC", at + "/aim_offset");
  s.tolerance_de00 = take.number(json, "tolerance_de00", at);
  s.tolerance_origin = take.text(json, "tolerance_origin", at);
  s.another_lot_de00 = take.number(json, "another_lot_de00", at);
  p.at_most = take.whole(json, "at_most", at);
  p.top = take.whole(json, "top", at);
  const Json& w = take.in(json, "weights", at);
  p.weights = {take.number(w, "viewing", at + "/weights"), take.number(w, "worst", at + "/weights"),
               take.number(w, "transmitted", at + "/weights"),
               take.number(w, "colorants", at + "/weights"),
               take.number(w, "load", at + "/weights")};
  const Json& most = take.in(json, "max_load", at);
  for (const Colorant& c : p.palette.colorants)
    p.max_load.push_back(take.number(most, c.name, at + "/max_load"));
  for (const Json& e : take.in(json, "excluded", at))
    p.excluded.push_back(
        {take.text(e, "colorant", at + "/excluded"), take.text(e, "reason", at + "/excluded")});
  for (const Json& light : take.in(json, "lights", at)) {
    const std::string path = at + "/lights/" + std::to_string(p.lights.size());
    s.lights.push_back(take.text(light, "described", path));
    // An answer of an older program knew of no brightener.
    const bool predictable = !light.contains("predictable") || take.yes(light, "predictable", path);
    p.lights.push_back({take.weights(light, path, p.palette.grid, s.observer_deg),
                        take.lab(light, "sheet_lab", path), take.lab(light, "aim_lab", path),
                        predictable});
  }
  for (const Json& name : json_member(json, "brightener")) {
    if (!name.is_string()) take.fault(at + "/brightener", "must hold texts only");
    s.brightener.push_back(json_text(name).value_or(""));
  }
  s.light_sheet = take.text(json, "light_sheet", at);
  const Json& through = take.in(json, "transmitted", at);
  p.transmitted.known = take.yes(through, "known", at + "/transmitted");
  p.transmitted.why = take.text(through, "why", at + "/transmitted");
  if (p.transmitted.known) {
    p.transmitted.weights =
        take.weights(take.in(through, "weights", at + "/transmitted"), at + "/transmitted/weights",
                     p.palette.grid, s.observer_deg);
    p.transmitted.sheet = take.lab(through, "sheet_lab", at + "/transmitted");
  }
  const Json& place = take.in(json, "place", at);
  const std::size_t bands = p.palette.grid.size();
  p.place.grid = p.palette.grid;
  p.place.below = take.list(take.in(place, "below", at + "/place"), at + "/place/below", bands);
  p.place.above = take.slabs(take.in(place, "above", at + "/place"), at + "/place/above", bands);
  p.place.beneath =
      take.slabs(take.in(place, "beneath", at + "/place"), at + "/place/beneath", bands);
  p.place.gloss = take.number(place, "gloss", at + "/place");
  s.trial_place.grid = p.palette.grid;
  s.trial_place.below =
      take.list(take.in(place, "trial_below", at + "/place"), at + "/place/trial_below", bands);
  const std::string dp = at + "/dispensing";
  const Json& d = take.in(json, "dispensing", at);
  s.can_dispense = take.yes(d, "possible", dp);
  for (const Json& why : take.in(d, "why_not", dp))
    if (why.is_string()) s.no_dispense.push_back(why.get<std::string>());
  if (d.contains("laid_ml")) s.dispensing.laid_ml = take.number(d, "laid_ml", dp);
  s.dispensing.method = take.text(d, "method", dp) == "brush" ? Method::brush : Method::bath;
  s.dispensing.volume_ml = take.number(d, "volume_ml", dp);
  s.dispensing.pick_up_ml_m2 = take.number(d, "pick_up_ml_m2", dp);
  s.dispensing.pick_up_sd = take.number(d, "pick_up_sd", dp);
  s.dispensing.area_m2 = take.number(d, "area_m2", dp);
  s.dispensing.sheets = take.whole(d, "sheets", dp);
  s.dispensing.coats = take.whole(d, "coats", dp);
  s.dispensing.tray_ml = take.number(d, "tray_ml", dp);
  for (const Json& stock : take.in(d, "stocks", dp)) {
    Stock made{take.text(stock, "name", dp), take.text(stock, "colorant", dp),
               take.number(stock, "strength_per_ml", dp), std::nullopt};
    const Json& drop = take.in(stock, "ml_per_drop", dp);
    if (drop.is_number()) made.ml_per_drop = drop.get<double>();
    s.dispensing.stocks.push_back(std::move(made));
  }
  if (take.wrong.empty())
    if (const auto found = faults(p); !found.empty()) take.wrong = found.front();
  if (!take.wrong.empty()) return bad_input("this is no wash: " + take.wrong);
  return s;
}

Json trials_json(const WashState& state, const std::vector<KeptTrial>& trials) {
  Json json = Json::array();
  for (const KeptTrial& kept : trials)
    json.push_back({{"name", kept.name},
                    {"same_sheet", kept.trial.same_sheet},
                    {"added", by_colorant(state.problem.palette, kept.trial.added)},
                    {"reflectance", kept.trial.reflectance}});
  return json;
}

Result<std::vector<KeptTrial>> trials_in(const Json& json, const WashState& state) {
  std::vector<KeptTrial> trials;
  if (!json.is_array()) return trials;
  Taker take;
  const std::vector<Colorant>& colorants = state.problem.palette.colorants;
  for (const Json& item : json) {
    const std::string path = "/trials/" + std::to_string(trials.size());
    KeptTrial kept;
    kept.name = take.text(item, "name", path);
    kept.trial.same_sheet = take.yes(item, "same_sheet", path);
    kept.trial.reflectance = take.list(take.in(item, "reflectance", path), path + "/reflectance",
                                       state.problem.palette.grid.size());
    const Json& added = take.in(item, "added", path);
    for (const Colorant& c : colorants)
      kept.trial.added.push_back(
          added.is_object() && added.contains(c.name) ? take.number(added, c.name, path) : 0);
    trials.push_back(std::move(kept));
  }
  if (!take.wrong.empty()) return bad_input("this is no wash: " + take.wrong);
  return trials;
}

Result<std::vector<double>> loads_in(const Json& document, const WashState& state, int number) {
  Taker take;
  const Json& recipes = take.in(document, "recipes", "");
  if (!take.wrong.empty() || !recipes.is_array())
    return bad_input("expected what 'mendtone wash --format json' wrote; /recipes is missing");
  if (number < 1 || static_cast<std::size_t>(number) > recipes.size())
    return bad_request("there are " + std::to_string(recipes.size()) +
                           " recipes, asked for number " + std::to_string(number),
                       "--recipe");
  const Json& recipe = recipes[static_cast<std::size_t>(number - 1)];
  const bool dropped = recipe.contains("whole_drops");
  const Json& loads = dropped ? take.in(recipe["whole_drops"], "loads", "/recipes/whole_drops")
                              : take.in(recipe, "loads", "/recipes");
  std::vector<double> result;
  for (const Colorant& c : state.problem.palette.colorants)
    result.push_back(loads.is_object() && loads.contains(c.name)
                         ? take.number(loads, c.name, "/recipes/loads")
                         : 0);
  if (!take.wrong.empty()) return bad_input("this is no wash: " + take.wrong);
  return result;
}

}  // namespace mendtone::app
