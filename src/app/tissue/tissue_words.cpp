#include <cmath>

#include "app/inputs/text.hpp"
#include "app/tissue/tissue_prepared.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/direction.hpp"

namespace mendtone::app {
namespace {

constexpr double lamp_worth_a_word = 0.5;  // DeltaE00 by which a lamp is worse than the first
constexpr double light_sheet_worth_a_word = 2;
constexpr double chance_worth_a_word = 0.05;

/// "pinker by 0.4 a*"; empty where it is not worth a word.
std::string along(Axis axis, double by, const char* name, double sheet_b = 0) {
  const std::string_view word = direction_word(axis, by, sheet_b);
  return word.empty() ? std::string()
                      : std::string(word) + " by " + fixed(std::abs(by), 1) + " " + name;
}

double sheet_b(const ColourUnder& colour) {
  return colour.lab.b - colour.db;
}

void add(std::vector<std::string>& words, const std::string& said, const std::string& where) {
  if (!said.empty()) words.push_back(said + where);
}

void add_casts(const ColourUnder& colour, const std::string& where,
               std::vector<std::string>& words) {
  add(words, along(Axis::a, colour.da, "a*"), where);
  add(words, along(Axis::b, colour.db, "b*", sheet_b(colour)), where);
}

/// What the worst lamp shows more than the viewing light does.
void add_worst(const TissueCandidate& c, std::vector<std::string>& words) {
  if (c.by_light.empty() || c.worst_de00 < c.de00 + lamp_worth_a_word) return;
  for (const ColourUnder& colour : c.by_light) {
    if (colour.light != c.worst_light) continue;
    const std::string where = " under " + colour.light;
    const std::size_t before = words.size();
    if (std::abs(colour.da - c.da) >= worth_a_word)
      add(words, along(Axis::a, colour.da, "a*"), where);
    if (std::abs(colour.db - c.db) >= worth_a_word)
      add(words, along(Axis::b, colour.db, "b*", sheet_b(colour)), where);
    if (words.size() == before) words.push_back("DeltaE00 " + fixed(colour.de00, 1) + where);
  }
}

std::string pasted_in_words(const PastedShift& pasted) {
  const std::string shift = along(Axis::L, pasted.dL, "L*");
  return "pasted, " + (shift.empty() ? "as light as dry" : shift) + " and then DeltaE00 " +
         fixed(pasted.de00, 1) + " from the sheet (read on this lot)";
}

std::string plies_in_words(int plies) {
  return counted(static_cast<std::size_t>(plies), "ply", "plies");
}

void add_light_sheet(const TissueCandidate& c, const CandidateFacts& facts,
                     std::vector<std::string>& words) {
  if (!c.transmitted.known || std::abs(*c.transmitted.dL) < light_sheet_worth_a_word) return;
  std::string text = fixed(std::abs(*c.transmitted.dL), 0) + " L* too " +
                     (*c.transmitted.dL > 0 ? "bright" : "dark") + " on the light sheet";
  if (facts.plies_for_light_sheet && *facts.plies_for_light_sheet != c.plies)
    text += ": try " + plies_in_words(*facts.plies_for_light_sheet);
  else if (*c.transmitted.dL > 0 && c.plies == facts.most_plies && c.plies > 1)
    text += " even with " + plies_in_words(c.plies);
  words.push_back(text);
}

}  // namespace

std::vector<std::string> reasons_of(const TissueCandidate& c, const CandidateFacts& facts) {
  std::vector<std::string> words;
  add(words, c.unfit_because, "");
  add(words, c.to_be_read_again, "");
  add(words, along(Axis::L, c.dL, "L*"), "");
  if (!c.by_light.empty()) add_casts(c.by_light.front(), "", words);
  if (words.empty() && c.de00 < 1)
    words.push_back("within " + fixed(worth_a_word, 1) + " of the sheet in L*, a* and b*");
  add_worst(c, words);
  add_light_sheet(c, facts, words);
  if (c.unfit_because.empty() && c.weight_g_m2 && facts.sheet_weight_g_m2 &&
      *c.weight_g_m2 > *facts.sheet_weight_g_m2)
    words.push_back("heavier than the sheet");
  if (facts.bleeds.value_or(false)) words.push_back("bleeds when pasted");
  // Of a strip behind the sheet it is a matter of chance, and of no weight.
  if (c.use == Use::loss && c.darker_chance.value_or(0) >= chance_worth_a_word)
    words.push_back("chance of coming out darker: " + fixed(100 * *c.darker_chance, 0) + " %");
  if (c.pasted) words.push_back(pasted_in_words(*c.pasted));
  add(words, c.in_words, "");
  return words;
}

std::vector<std::string> cautions_of(const TissueCandidate& c) {
  std::vector<std::string> words;
  if (c.state == State::unstated)
    words.push_back("the state of the tissue is not stated; taken as dry");
  if (c.as_read)
    words.push_back(
        "read over the backing of use only: other plies, the overlap margin and the "
        "light sheet are not known");
  for (const ColourUnder& colour : c.by_light)
    if (!colour.not_predictable.empty()) {
      words.push_back(
          "a brightener was found: its colour under any light but D50 is not "
          "predictable");
      break;
    }
  return words;
}

}  // namespace mendtone::app
