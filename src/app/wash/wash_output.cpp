#include <algorithm>
#include <cmath>

#include "app/inputs/text.hpp"
#include "app/tissue/sheet_seen.hpp"
#include "mendtone/app/wash/correct.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/difference.hpp"

namespace mendtone::app {
namespace {

using results::WashPlan;
using results::WashRecipe;

bool is_film(const WashPlan& plan) {
  return plan.palette.palette.application == Application::film;
}

std::string loads_in_words(const WashRecipe& recipe) {
  std::vector<std::string> parts;
  for (const results::Load& load : recipe.loads)
    parts.push_back(load.colorant + " " + fixed(load.load, 4));
  if (parts.empty()) return "nothing: leave it as it is";
  return listed(parts) + " " + in_words(recipe.load_unit);
}

std::string difference_in_words(double de00, double dL, double da, double db) {
  return fixed(de00, 2) + " (dL* " + fixed_signed(dL, 2) + ", da* " + fixed_signed(da, 2) +
         ", db* " + fixed_signed(db, 2) + ")";
}

/// Lights under which nothing can be said, for the line behind the worst light.
std::string not_predictable(const WashRecipe& recipe) {
  std::vector<std::string> lights;
  for (const results::ColourUnder& colour : recipe.by_light)
    if (!colour.not_predictable.empty()) lights.push_back(colour.light);
  return lights.empty()
             ? std::string()
             : "; not predictable (" + std::string(brightener_was_found) + "): " + listed(lights);
}

/// What is done with the measured-out wash, and how far sheets differ by it.
std::string laying_in_words(const WashPlan& plan, const WashRecipe& made) {
  const results::PlanDispensing& d = plan.dispensing;
  const int coats = static_cast<int>(made.coats.size());
  const std::string varies = " varies: 95 % of sheets come within " +
                             fixed(made.pick_up_u95_de00.value_or(0), 2) + " of this\n";
  if (d.method == Method::bath) return "    the pick-up" + varies;
  const double laid = made.brush ? made.brush->laid_ml : 0;
  return "    " +
         (laid < made.dispense.front().of_volume_ml ? fixed(laid, 2) + " ml" : std::string("all")) +
         " of it is brushed on " + shortest(d.area_m2 * d.sheets) + " m2" +
         (coats > 1
              ? ", in " + std::to_string(coats) + " coats of " + fixed(laid / coats, 2) + " ml"
              : "") +
         "; the brush" + varies;
}

void put_measured_out(std::string& text, const WashPlan& plan, const WashRecipe& made) {
  if (made.dispense.empty()) {
    for (const std::string& why : made.no_dispense) text += "  not measured out: " + why + "\n";
    return;
  }
  text += "  in " + fixed(made.dispense.front().of_volume_ml, 1) + " ml (" +
          std::string(name_of(plan.dispensing.method)) + "):\n";
  for (const results::MeasuredOut& item : made.dispense)
    text += "    " + padded(item.stock, 20) + " " +
            (item.drops ? counted(static_cast<std::size_t>(*item.drops), "drop", "drops") + ", " +
                              fixed(item.drops_ml, 2) + " ml"
                        : fixed(item.ml, 2) + " ml") +
            "\n";
  if (made.one_drop_de00)
    text += "    one drop more or less changes at most " + fixed(*made.one_drop_de00, 2) + " (" +
            made.one_drop_stock + ")\n";
  text += laying_in_words(plan, made);
  if (made.advice)
    for (const std::string& words : *made.advice) text += "    " + words + "\n";
}

void put_recipe(std::string& text, const WashPlan& plan, const WashRecipe& made,
                const std::string& kind = {}) {
  text += "\nRecipe " + std::to_string(made.number) + kind + ": " + loads_in_words(made) + "\n";
  const bool aimed = plan.aim_dL != 0 || plan.aim_dC != 0;
  if (made.whole_drops)
    text += "  predicted with whole drops: " + text_of(made.whole_drops->lab) +
            "   from the sheet " + fixed(made.whole_drops->de00, 2) +
            (aimed ? "   from the aim " + fixed(made.whole_drops->aim_de00, 2) : "") + "\n";
  text += std::string(made.whole_drops ? "  predicted with the exact loads: " : "  predicted: ") +
          text_of(made.lab) + "   from the sheet " +
          difference_in_words(made.de00, made.dL, made.da, made.db);
  if (aimed) text += "   from the aim " + fixed(made.aim_de00, 2);
  text += "   \u00b1 " + fixed(made.u95_de00, 2) + " (95 %)\n";
  text +=
      "  worst light " + made.worst_light + " " + fixed(made.worst_de00, 2) + not_predictable(made);
  if (made.transmitted.known)
    text += "; on the light sheet " + fixed(*made.transmitted.de00, 2) + " (dL* " +
            fixed_signed(*made.transmitted.dL, 2) + ")";
  else if (!is_film(plan))
    text += "; on the light sheet not known: " + made.transmitted.why;
  text += "\n";
  if (made.darker_chance)
    text += "  chance of coming out darker than the sheet: " +
            fixed(100 * *made.darker_chance, 0) + " %\n";
  if (made.at_limit) text += "  a colorant stands at its highest load\n";
  if (made.loads.empty()) return;
  for (const results::RecipeCoat& coat : made.coats)
    if (made.coats.size() > 1)
      text += "  after coat " + std::to_string(coat.n) + ": " + text_of(coat.lab) +
              "   from the sheet " + fixed(coat.de00, 2) + "\n";
  put_measured_out(text, plan, made);
  for (const results::PalerSheet& sheet : made.let_down)
    text += "  let down to " + fixed(100 * sheet.factor, 0) + " %: " + text_of(sheet.lab) + "\n";
  if (made.gaps)
    for (const results::GapFilled& gap : *made.gaps)
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
  for (const std::string& warning : answer.warnings) text += "Warning: " + warning + "\n";
}

template <class Answer>
void put_frame(std::string& text, const Answer& answer) {
  const WashPlan& plan = answer.problem;
  text += "Sheet '" + plan.target + "'" +
          (plan.over.empty() ? ", as read" : " over '" + plan.over + "'") +
          (plan.over_from.empty() ? "" : " (" + plan.over_from + ")");
  if (is_film(plan))
    text += "; a film on the fill '" + plan.tissue + "', inside its edge\n";
  else
    text += ", " + std::string(name_of(plan.use)) + "; " +
            counted(static_cast<std::size_t>(plan.plies), "ply", "plies") + " of '" + plan.tissue +
            "'\n";
  text += "Sheet " + text_of(plan.lights.front().sheet) + " under " +
          listed(texts_of(answer.lights)) + ", " + std::to_string(plan.observer_deg) + " degrees\n";
  if (plan.aim_dL != 0 || plan.aim_dC != 0)
    text += "Aim " + text_of(plan.lights.front().aim) + " (dL* " + fixed_signed(plan.aim_dL, 2) +
            ", dC* " + fixed_signed(plan.aim_dC, 2) + ")\n";
  text += "Tolerance " + fixed(plan.tolerance_de00, 2) + " (" + plan.tolerance_origin + ")\n";
  for (const Exclusion& e : plan.excluded)
    text += "Left out: " + e.colorant + " (" + e.reason + ")\n";
}

/// "ochre stock 12 % stronger than calibrated, +-4".
std::string strength_in_words(const results::LearnedStrength& s) {
  const double percent = 100 * (s.strength - 1);
  return s.colorant + " " + fixed(std::abs(percent), 0) + " % " +
         (percent >= 0 ? "stronger" : "weaker") + " than calibrated, +-" + fixed(100 * s.u95, 0);
}

std::string kind_in_words(const WashPlan& plan, const std::string& kind) {
  if (is_film(plan))
    return kind == "coat" ? ", one more coat on the fill in hand" : ", a new mix for a bare fill";
  return kind == "coat" ? ", one more coat on the sheet in hand" : ", a new mix for a fresh sheet";
}

}  // namespace

std::string to_text(const WashAnswer& answer) {
  const WashPlan& plan = answer.problem;
  std::string text;
  put_frame(text, answer);
  const SignedDifference d = signed_difference(answer.sheet, answer.untoned.lab);
  text += (is_film(plan) ? "The fill as it is: " : "Untoned: ") + text_of(answer.untoned.lab) +
          "   from the sheet " + difference_in_words(answer.untoned.de00, d.dL, d.da, d.db) + "\n";
  text += "Searched " + std::to_string(answer.searched) + " sets of colorants; " +
          (answer.exact ? "the list is complete (" + answer.proof + ")"
                        : "the list may not be complete: " + answer.why_not_exact) +
          ". Order: " + answer.objective + "\n";
  text += "\n" + answer.verdict + "\n";
  for (const results::Nearer& n : answer.nearer)
    text += "Would bring it nearer: " + n.what + ": " + fixed(n.aim_de00, 2) + "\n";
  for (const WashRecipe& made : answer.recipes) put_recipe(text, plan, made);
  put_cautions(text, answer);
  return text;
}

std::string to_text(const CorrectAnswer& answer) {
  const WashPlan& plan = answer.problem;
  std::string text;
  put_frame(text, answer);
  text += "\n" + answer.what_now + "\n\n";
  const results::TrialRead& trial = answer.trial;
  text += "Trial, read: " + text_of(trial.lab) + "\n";
  if (trial.predicted) text += "Trial, predicted: " + text_of(*trial.predicted) + "\n";
  text += "Difference from the sheet " + fixed(trial.de00, 2) + ", from the aim " +
          fixed(trial.aim_de00, 2) + ", from the prediction " + fixed(trial.predicted_de00, 2) +
          " DeltaE00\n";
  text += "Learnt from " + counted(answer.trials.size(), "trial", "trials") + ":\n";
  for (const results::LearnedStrength& one : answer.learned.colorants)
    text += "  " + strength_in_words(one) + "\n";
  const Lab& offset = answer.learned.offset;
  text += "  the calibration itself is off by dL* " + fixed_signed(offset.L, 2) + ", da* " +
          fixed_signed(offset.a, 2) + ", db* " + fixed_signed(offset.b, 2) + "\n";
  const bool brushed = plan.dispensing.method == Method::brush;
  text += "  about " + fixed(100 * answer.learned.of_which_dosing, 0) +
          " % of the miss was chance (drops, " + (brushed ? "brush" : "pick-up") +
          ") and will differ next time\n";
  for (const WashRecipe& made : answer.recipes)
    put_recipe(text, plan, made, kind_in_words(plan, made.kind));
  put_cautions(text, answer);
  return text;
}

}  // namespace mendtone::app
