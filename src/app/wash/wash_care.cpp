#include "app/wash/wash_care.hpp"

#include <algorithm>
#include <set>

#include "app/inputs/text.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/base/plain_text.hpp"
#include "mendtone/match/fastness.hpp"
#include "mendtone/match/fitness.hpp"

namespace mendtone::app {
namespace {

void put_indices_and_media(Palette& palette, results::Care& care,
                           const std::vector<EnteredColorant>& entered) {
  std::vector<std::pair<std::string, std::string>> media;
  for (Colorant& colorant : palette.colorants) {
    const ColorantUsed used = colorant_used(colorant.name, colorant.colour_index, care, entered);
    colorant.colour_index = used.colour_index;
    if (!used.medium.empty()) media.emplace_back(colorant.name, used.medium);
  }
  care.colorant_media = std::move(media);
}

/// A medium for a colorant that the calibration does not have is a slip.
Result<void> check_media(const Palette& palette, const results::Care& care) {
  for (const auto& one : care.colorant_media)
    if (std::none_of(palette.colorants.begin(), palette.colorants.end(), [&](const Colorant& c) {
          return small_letters(c.name) == small_letters(one.first);
        }))
      return bad_request("the calibration has no colorant '" + one.first + "'", "--medium");
  return {};
}

void exclude_as_entered(WashRequest& request, const Palette& palette,
                        const std::vector<EnteredColorant>& entered,
                        std::vector<std::string>& notes) {
  for (const Colorant& colorant : palette.colorants) {
    const EnteredColorant* known = entered_as(entered, colorant.name);
    if (known == nullptr || known->excluded.empty()) continue;
    const bool asked = std::any_of(request.exclude.begin(), request.exclude.end(),
                                   [&](const auto& one) { return one.first == colorant.name; });
    if (asked) continue;
    request.exclude.emplace_back(colorant.name, known->excluded);
    notes.push_back("'" + colorant.name + "' is excluded in the record (" + known->excluded +
                    "): it is not planned");
  }
}

std::vector<ColorantUsed> colorants_of(const Palette& palette, const results::Care& care,
                                       const std::vector<double>& loads) {
  std::vector<ColorantUsed> used;
  for (std::size_t c = 0; c < loads.size(); ++c)
    if (loads[c] > 0)
      used.push_back(
          colorant_used(palette.colorants[c].name, palette.colorants[c].colour_index, care, {}));
  return used;
}

}  // namespace

Result<EnteredSheet> complete_request(WashRequest& request, Palette& palette,
                                      const InputPlace& place, std::vector<std::string>& notes) {
  if (auto known = check_media(palette, request.care); !known) return known.error();
  const auto sheet = entered_sheet(request.target, request.target_name, place);
  if (!sheet) return sheet.error();
  const auto colorants = entered_colorants(place);
  if (!colorants) return colorants.error();
  request.care = care_with(std::move(request.care), *sheet);
  put_indices_and_media(palette, request.care, *colorants);
  exclude_as_entered(request, palette, *colorants, notes);
  if (!request.aim_dL) request.aim_dL = default_aim_dL(request.use);
  view_as_entered(request.viewing, *sheet, notes);
  if (sheet->seen_against_light == "no") {
    request.weights.transmitted = 0;
    notes.emplace_back(
        "the sheet is never seen against light: the light sheet does not weigh in the order");
  }
  return *sheet;
}

Result<std::string> unfit_because(const WashState& state, std::optional<double> tissue_g_m2,
                                  std::optional<double> sheet_g_m2, const EnteredSheet& entered,
                                  const InputPlace& place) {
  if (!sheet_g_m2) sheet_g_m2 = entered.grammage_g_m2;
  if (!tissue_g_m2) {
    const auto tissues = entered_tissues(place);
    if (!tissues) return tissues.error();
    for (const EnteredTissue& one : tissues->tissues)
      if (one.name == state.tissue) tissue_g_m2 = one.grammage_g_m2;
  }
  if (tissue_g_m2) *tissue_g_m2 *= state.problem.plies;
  return fitness_by_weight(state.use, tissue_g_m2, sheet_g_m2).because;
}

Result<void> complete_swatch(results::Care& care, Palette& palette,
                             const std::vector<std::string>& used, const InputPlace& place,
                             std::vector<Warning>& warnings) {
  if (auto known = check_media(palette, care); !known) return known.error();
  const auto colorants = entered_colorants(place);
  if (!colorants) return colorants.error();
  put_indices_and_media(palette, care, *colorants);
  for (const std::string& name : used)
    if (const EnteredColorant* known = entered_as(*colorants, name);
        known != nullptr && !known->excluded.empty())
      warnings.push_back({"excluded in the record: " + known->excluded, name});
  return {};
}

std::vector<std::string> swatch_cautions(const Palette& palette, const results::Care& care,
                                         const std::vector<std::string>& used) {
  CautionCase about = caution_case(Use::loss, care);
  about.acts = {palette.application == Application::film ? "film" : "tone"};
  if (palette.application == Application::film && about.media.empty()) about.media = "none";
  for (const Colorant& colorant : palette.colorants)
    if (std::find(used.begin(), used.end(), colorant.name) != used.end())
      about.colorants.push_back(colorant_used(colorant.name, colorant.colour_index, care, {}));
  return texts_of(cautions_for(about));
}

Result<std::vector<Warning>> excluded_since(const Palette& palette, const std::vector<int>& used,
                                            const InputPlace& place) {
  const auto colorants = entered_colorants(place);
  if (!colorants) return colorants.error();
  std::vector<Warning> warnings;
  for (const int c : used) {
    const std::string& name = palette.colorants[static_cast<std::size_t>(c)].name;
    if (const EnteredColorant* known = entered_as(*colorants, name);
        known != nullptr && !known->excluded.empty())
      warnings.push_back(
          {"excluded in the record since (" + known->excluded + "): plan a new wash without it",
           name});
  }
  return warnings;
}

std::vector<std::string> wash_cautions(const WashState& state, const std::vector<double>& loads) {
  const Palette& palette = state.problem.palette;
  CautionCase about = caution_case(state.use, state.care);
  const bool film = is_film(state);
  about.acts = film ? std::vector<std::string>{"film"} : std::vector<std::string>{"tone", "attach"};
  about.marks.insert(film || state.dispensing.method == Method::brush ? "brush" : "bath");
  if (state.dispensing.coats > 1) about.marks.insert("coats");
  if (palette.state == State::pasted) about.marks.insert("pasted read");
  about.colorants = colorants_of(palette, state.care, loads);
  std::vector<std::string> cautions = texts_of(cautions_for(about));
  for (std::size_t c = 0; c < loads.size(); ++c)
    if (loads[c] > palette.colorants[c].load_range[1] * (1 + 1e-9))
      cautions.push_back(palette.colorants[c].name + ": load beyond what was calibrated");
  return cautions;
}

Result<std::vector<std::string>> light_notes(const WashRequest& request, const WashState& state,
                                             const std::vector<PlannedRecipe>& recipes,
                                             const InputPlace& place) {
  const auto entered = entered_colorants(place);
  if (!entered) return entered.error();
  const auto sheet = entered_sheet(request.target, request.target_name, place);
  if (!sheet) return sheet.error();
  const std::vector<Colorant>& colorants = state.problem.palette.colorants;
  std::vector<std::string> notes;
  std::size_t soonest = 0;
  int lowest = 9;
  std::set<int> classes;
  for (std::size_t i = 0; i < recipes.size(); ++i) {
    std::vector<ClassedColorant> used;
    for (std::size_t c = 0; c < colorants.size(); ++c)
      if (recipes[i].recipe.loads[c] > 0) {
        const EnteredColorant* known = entered_as(*entered, colorants[c].name);
        used.push_back({colorants[c].name, known ? known->blue_wool : std::optional<int>()});
      }
    const std::string words = years_ahead(used, sheet->lux_hours_year);
    if (words.empty()) continue;
    notes.push_back("recipe " + std::to_string(i + 1) + " in light: " + words);
    const int wool = *first_to_change(used)->blue_wool;
    classes.insert(wool);
    if (wool >= lowest) continue;
    lowest = wool;
    soonest = i + 1;
  }
  if (classes.size() > 1) notes.push_back("recipe " + std::to_string(soonest) + " changes first");
  if (!notes.empty())
    notes.push_back(
        "light and change: S. Michalski, Time's effects on paintings (1990), as quoted by "
        "the CAMEO database (Museum of Fine Arts, Boston); the classes between its two "
        "ends by equal factors, the spread one class either way");
  for (const Colorant& colorant : colorants)
    if (const EnteredColorant* known = entered_as(*entered, colorant.name);
        known && !known->light_fastness.empty())
      notes.push_back(colorant.name + ": light-fastness as entered: " + known->light_fastness);
  return notes;
}

double darker_chance_of(const WashState& state, const PlannedRecipe& made) {
  const LightColour& view = made.dispense && made.dispense->whole_drops
                                ? made.dispense->colour.by_light[0]
                                : made.recipe.colour.by_light[0];
  return chance_of_darker(view.lab.L - state.problem.lights[0].sheet.L,
                          sd_of_lightness(view.lab.L, made.u95_de00));
}

void put_in_order(const WashState& state, double darker_weight, std::size_t top,
                  std::vector<PlannedRecipe>& recipes) {
  std::vector<std::pair<double, std::size_t>> order;
  for (std::size_t i = 0; i < recipes.size(); ++i)
    order.emplace_back(
        recipes[i].recipe.colour.objective + darker_weight * darker_chance_of(state, recipes[i]),
        i);
  std::stable_sort(order.begin(), order.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  std::vector<PlannedRecipe> sorted;
  for (std::size_t i = 0; i < std::min(top, order.size()); ++i)
    sorted.push_back(std::move(recipes[order[i].second]));
  recipes = std::move(sorted);
}

}  // namespace mendtone::app
