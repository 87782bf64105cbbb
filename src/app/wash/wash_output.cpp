#include <algorithm>

#include "app/inputs/text.hpp"
#include "app/tissue/sheet_seen.hpp"
#include "app/wash/wash_json.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/difference.hpp"

namespace mendtone::app {
namespace {

std::string loads_in_words(const WashState& state, const std::vector<double>& loads) {
  std::vector<std::string> parts;
  for (std::size_t c = 0; c < loads.size(); ++c)
    if (loads[c] > 0)
      parts.push_back(state.problem.palette.colorants[c].name + " " + fixed(loads[c], 4));
  if (parts.empty()) return "nothing: leave it as it is";
  return listed(parts) + " " + in_words(state.problem.palette.load_unit);
}

std::string difference_in_words(const Lab& sheet, const LightColour& c) {
  const SignedDifference d = signed_difference(sheet, c.lab);
  return fixed(c.de00, 2) + " (dL* " + fixed_signed(d.dL, 2) + ", da* " + fixed_signed(d.da, 2) +
         ", db* " + fixed_signed(d.db, 2) + ")";
}

/// Lights under which nothing can be said, for the line behind the worst light.
std::string not_predictable(const WashState& state) {
  std::vector<std::string> lights;
  for (const LightAim& light : state.problem.lights)
    if (!light.predictable) lights.push_back(light.weights.light);
  return lights.empty()
             ? std::string()
             : "; not predictable (" + std::string(brightener_was_found) + "): " + listed(lights);
}

/// What is done with the measured-out wash, and how far it strays.
std::string laying_in_words(const WashState& state, const WashRecipe& made) {
  const DispenseProblem& d = state.dispensing;
  const DispensePlan& plan = *made.dispense;
  const int coats = static_cast<int>(made.coats.size());
  if (d.method == Method::bath)
    return "    pick-up from sheet to sheet: 95 of 100 within " + fixed(plan.pick_up_u95_de00, 2) +
           "\n";
  const double laid = plan.laid_ml;
  return "    " + (laid < plan.volume_ml ? fixed(laid, 2) + " ml" : std::string("all")) +
         " of it is brushed on " + shortest(d.area_m2 * d.sheets) + " m2" +
         (coats > 1
              ? ", in " + std::to_string(coats) + " coats of " + fixed(laid / coats, 2) + " ml"
              : "") +
         "; what the brush lays strays: 95 of 100 within " + fixed(plan.pick_up_u95_de00, 2) + "\n";
}

void put_measured_out(std::string& text, const WashState& state, const WashRecipe& made) {
  if (!made.dispense) {
    for (const std::string& why : made.no_dispense) text += "  not measured out: " + why + "\n";
    return;
  }
  const DispensePlan& plan = *made.dispense;
  text += "  in " + fixed(plan.volume_ml, 1) + " ml (" +
          std::string(name_of(state.dispensing.method)) + "):\n";
  for (const Dispensed& item : plan.items)
    text += "    " + padded(item.stock, 20) + " " + fixed(item.ml, 2) + " ml" +
            (item.drops ? ", or " + counted(static_cast<std::size_t>(*item.drops), "drop", "drops")
                        : "") +
            (item.stock == "water" && plan.whole_drops ? " (to whole drops)" : "") + "\n";
  if (plan.whole_drops)
    text += "    with whole drops: to the sheet " + fixed(plan.colour.by_light[0].de00, 2) +
            "; one drop more or less changes at most " + fixed(plan.one_drop_de00, 2) + " (" +
            plan.one_drop_stock + ")\n";
  text += laying_in_words(state, made);
  for (const std::string& words : plan.advice) text += "    " + words + "\n";
}

void put_recipe(std::string& text, const WashState& state, const WashRecipe& made,
                std::size_t number, const std::string& kind = {}) {
  const Predicted& colour = made.recipe.colour;
  const LightColour& view = colour.by_light[0];
  text += "\nRecipe " + std::to_string(number) + kind + ": " +
          loads_in_words(state, made.recipe.loads) + "\n";
  text += "  " + text_of(view.lab) + "   to the sheet " +
          difference_in_words(state.problem.lights[0].sheet, view);
  if (state.aim_dL != 0 || state.aim_dC != 0) text += "   to the aim " + fixed(view.aim_de00, 2);
  text += "   u95 " + fixed(made.u95_de00, 2) + "\n";
  text += "  worst light " + colour.by_light[colour.worst].light + " " +
          fixed(colour.by_light[colour.worst].de00, 2) + not_predictable(state);
  if (colour.transmitted)
    text += "; on the light sheet " + fixed(colour.transmitted_de00, 2) + " (dL* " +
            fixed_signed(colour.transmitted->L - state.problem.transmitted.sheet.L, 2) + ")";
  else if (!is_film(state))
    text += "; on the light sheet not known: " + state.problem.transmitted.why;
  text += "\n";
  if (made.recipe.at_limit) text += "  a colorant stands at its highest load\n";
  if (!lays_anything(made.recipe)) return;
  for (const Coat& coat : made.coats)
    if (made.coats.size() > 1)
      text += "  after coat " + std::to_string(coat.n) + ": " +
              text_of(coat.colour.by_light[0].lab) + "   to the sheet " +
              fixed(coat.colour.by_light[0].de00, 2) + "\n";
  put_measured_out(text, state, made);
  for (const LetDown& sheet : made.let_down)
    text += "  let down to " + fixed(100 * sheet.factor, 0) +
            " %: " + text_of(sheet.colour.by_light[0].lab) + "\n";
  for (const GapFilled& gap : made.gaps)
    text += "  drawer gap '" + gap.gap + "': nearest at " + fixed(100 * gap.factor, 0) + " %, " +
            fixed(gap.de00, 2) + " DeltaE00\n";
}

/// The cautions of all recipes, each once, and what else has to be known.
template <class Answer>
void put_cautions(std::string& text, const Answer& answer) {
  std::vector<std::string> all;
  for (const WashRecipe& made : answer.recipes)
    for (const std::string& caution : made.cautions)
      if (std::find(all.begin(), all.end(), caution) == all.end()) all.push_back(caution);
  text += "\nCautions\n";
  for (const std::string& caution : all) text += "  - " + caution + "\n";
  for (const std::string& note : answer.notes) text += "  - " + note + "\n";
  for (const Warning& w : answer.warnings) text += "Warning: " + line_of(w) + "\n";
}

void put_frame(std::string& text, const WashState& state) {
  text += "Sheet '" + state.target + "'" +
          (state.over.empty() ? ", as read" : " over '" + state.over + "'");
  if (is_film(state))
    text += "; a film on the fill '" + state.tissue + "', inside its edge\n";
  else
    text += ", " + std::string(name_of(state.use)) + "; " +
            counted(static_cast<std::size_t>(state.problem.plies), "ply", "plies") + " of '" +
            state.tissue + "'\n";
  text += "Sheet " + text_of(state.problem.lights[0].sheet) + " under " + listed(state.lights) +
          ", " + std::to_string(state.observer_deg) + " degrees\n";
  if (state.aim_dL != 0 || state.aim_dC != 0)
    text += "Aim " + text_of(state.problem.lights[0].aim) + " (dL* " +
            fixed_signed(state.aim_dL, 2) + ", dC* " + fixed_signed(state.aim_dC, 2) + ")\n";
  text += "Tolerance " + fixed(state.tolerance_de00, 2) + " (" + state.tolerance_origin + ")\n";
  for (const Exclusion& e : state.problem.excluded)
    text += "Left out: " + e.colorant + " (" + e.reason + ")\n";
}

std::string weights_in_words(const WashState& state) {
  const RecipeWeights& w = state.problem.weights;
  return "root of " + shortest(w.viewing) + " viewing^2 + " + shortest(w.worst) +
         " worst light^2 + " +
         (is_film(state) ? std::string() : shortest(w.transmitted) + " light sheet^2 + ") +
         shortest(w.colorants) + " x colorants + " + shortest(w.load) + " x loads/highest";
}

std::string recipes_csv(const WashState& state, const std::vector<WashRecipe>& recipes) {
  std::string csv = csv_line({"recipe", "kind", "colorant", "load", "load_unit", "L*", "a*", "b*",
                              "de00", "aim_de00", "worst_de00", "u95_de00"});
  for (std::size_t i = 0; i < recipes.size(); ++i) {
    const WashRecipe& made = recipes[i];
    const LightColour& view = made.recipe.colour.by_light[0];
    for (std::size_t c = 0; c < made.recipe.loads.size(); ++c)
      if (made.recipe.loads[c] > 0)
        csv += csv_line({std::to_string(i + 1), made.kind, state.problem.palette.colorants[c].name,
                         shortest(made.recipe.loads[c]),
                         std::string(name_of(state.problem.palette.load_unit)),
                         shortest(view.lab.L), shortest(view.lab.a), shortest(view.lab.b),
                         shortest(view.de00), shortest(view.aim_de00),
                         shortest(made.recipe.colour.by_light[made.recipe.colour.worst].de00),
                         shortest(made.u95_de00)});
  }
  return csv;
}

}  // namespace

std::string to_text(const WashAnswer& answer) {
  std::string text;
  put_frame(text, answer.state);
  text += (is_film(answer.state) ? "The fill as it is: " : "Untoned: ") +
          text_of(answer.untoned.by_light[0].lab) + "   to the sheet " +
          difference_in_words(answer.state.problem.lights[0].sheet, answer.untoned.by_light[0]) +
          "\n";
  text += "Searched " + std::to_string(answer.searched) + " sets of colorants; " +
          (answer.exact ? "the list is complete (" + answer.proof + ")"
                        : "the list may not be complete: " + answer.why_not_exact) +
          ". Order: " + weights_in_words(answer.state) + "\n";
  if (!answer.reached)
    text +=
        "\nNo recipe comes within the tolerance. The nearest colour that can be reached is "
        "recipe 1.\n";
  for (const Nearer& n : answer.nearer)
    text += "Would bring it nearer: " + n.what + ": " + fixed(n.de00, 2) + "\n";
  for (std::size_t i = 0; i < answer.recipes.size(); ++i)
    put_recipe(text, answer.state, answer.recipes[i], i + 1);
  put_cautions(text, answer);
  return text;
}

std::string to_json(const WashAnswer& answer) {
  Json json = document("wash");
  json["application"] = name_of(answer.state.problem.palette.application);
  json["lights"] = answer.state.lights;
  json["observer"] = answer.state.observer_deg;
  json["sheet"] = to_array(answer.state.problem.lights[0].sheet);
  json["aim"] = to_array(answer.state.problem.lights[0].aim);
  json["tolerance_de00"] = answer.state.tolerance_de00;
  json["tolerance_origin"] = answer.state.tolerance_origin;
  json["recipes"] = Json::array();
  for (std::size_t i = 0; i < answer.recipes.size(); ++i)
    json["recipes"].push_back(recipe_json(answer.state, answer.recipes[i], i + 1));
  json["searched"] = answer.searched;
  json["skipped"] = answer.skipped;
  json["exact"] = answer.exact;
  json["proof"] = answer.proof;
  json["why_not_exact"] = answer.why_not_exact;
  json["within_tolerance"] = answer.reached;
  json["untoned"] = {{"lab", to_array(answer.untoned.by_light[0].lab)},
                     {"de00", answer.untoned.by_light[0].de00}};
  json["nearer"] = Json::array();
  for (const Nearer& n : answer.nearer)
    json["nearer"].push_back({{"what", n.what}, {"aim_de00", n.de00}});
  json["objective"] = weights_in_words(answer.state);
  json["notes"] = answer.notes;
  json["warnings"] = to_array(answer.warnings);
  json["problem"] = state_json(answer.state);
  return written(json);
}

std::string to_csv(const WashAnswer& answer) {
  return recipes_csv(answer.state, answer.recipes);
}

namespace {

/// "ochre stock 12 % stronger than calibrated, +-4".
std::string strength_in_words(const std::string& name, const LearntStrength& s) {
  const double percent = 100 * (s.strength - 1);
  return name + " " + fixed(std::abs(percent), 0) + " % " + (percent >= 0 ? "stronger" : "weaker") +
         " than calibrated, +-" + fixed(100 * s.u95, 0);
}

std::string kind_in_words(const WashState& state, const std::string& kind) {
  if (is_film(state))
    return kind == "coat" ? ", one more coat on the fill in hand" : ", a new mix for a bare fill";
  return kind == "coat" ? ", one more coat on the sheet in hand" : ", a new mix for a fresh sheet";
}

bool was_laid(const CorrectAnswer& answer, std::size_t c) {
  return std::any_of(answer.trials.begin(), answer.trials.end(),
                     [&](const KeptTrial& t) { return t.trial.added[c] > 0; });
}

}  // namespace

std::string to_text(const CorrectAnswer& answer) {
  std::string text;
  put_frame(text, answer.state);
  text += "Trial: read " + text_of(answer.learnt.last) + ", " +
          fixed(answer.learnt.measured_de00, 2) +
          " DeltaE00 from what was predicted; to the sheet " + fixed(answer.now_de00, 2) + "\n";
  text += "Learnt from " + counted(answer.trials.size(), "trial", "trials") + ":\n";
  for (std::size_t c = 0; c < answer.learnt.colorants.size(); ++c)
    if (was_laid(answer, c))
      text += "  " +
              strength_in_words(answer.state.problem.palette.colorants[c].name,
                                answer.learnt.colorants[c]) +
              "\n";
  text += "  the calibration itself is off by dL* " + fixed_signed(answer.learnt.offset.L, 2) +
          ", da* " + fixed_signed(answer.learnt.offset.a, 2) + ", db* " +
          fixed_signed(answer.learnt.offset.b, 2) + "\n";
  const bool brushed = answer.state.dispensing.method == Method::brush;
  text += "  " + fixed(100 * answer.learnt.of_which_dosing, 0) +
          " % of the last trial's offset is put down to its drops and " +
          (brushed ? "brush" : "pick-up") + ", which stray anew each time\n";
  for (std::size_t i = 0; i < answer.recipes.size(); ++i)
    put_recipe(text, answer.state, answer.recipes[i], i + 1,
               kind_in_words(answer.state, answer.recipes[i].kind));
  put_cautions(text, answer);
  return text;
}

std::string to_json(const CorrectAnswer& answer) {
  Json json = document("correct");
  json["lights"] = answer.state.lights;
  json["observer"] = answer.state.observer_deg;
  json["trial"] = {{"lab", to_array(answer.learnt.last)},
                   {"de00", answer.now_de00},
                   {"predicted_de00", answer.learnt.measured_de00}};
  Json learned = Json::object();
  for (std::size_t c = 0; c < answer.learnt.colorants.size(); ++c)
    if (was_laid(answer, c))
      learned[answer.state.problem.palette.colorants[c].name] = {
          {"strength", answer.learnt.colorants[c].strength},
          {"u95", answer.learnt.colorants[c].u95}};
  learned["offset_lab"] = to_array(answer.learnt.offset);
  learned["of_which_dosing"] = answer.learnt.of_which_dosing;
  json["learned"] = learned;
  json["spreads"] = {{"dosing_sd", answer.spreads.dosing},
                     {"pick_up_sd", answer.spreads.pick_up},
                     {"strength_sd", answer.spreads.strength},
                     {"model_de00", answer.spreads.model_de00}};
  json["recipes"] = Json::array();
  for (std::size_t i = 0; i < answer.recipes.size(); ++i)
    json["recipes"].push_back(recipe_json(answer.state, answer.recipes[i], i + 1));
  json["searched"] = answer.recipes.size();
  json["exact"] = false;
  json["within_tolerance"] = answer.reached;
  json["notes"] = answer.notes;
  json["warnings"] = to_array(answer.warnings);
  json["trials"] = trials_json(answer.state, answer.trials);
  json["problem"] = state_json(answer.state);
  return written(json);
}

std::string to_csv(const CorrectAnswer& answer) {
  return recipes_csv(answer.state, answer.recipes);
}

}  // namespace mendtone::app
