#include <cmath>

#include "app/inputs/text.hpp"
#include "app/tissue/tissue_prepared.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::app {
namespace {

constexpr double cast_worth_a_word = 0.5;
constexpr double lamp_worth_a_word = 0.5;  // DeltaE00 by which a lamp is worse than the first
constexpr double light_sheet_worth_a_word = 2;

std::string lightness(double dL) {
  return (dL > 0 ? "lighter by " : "darker by ") + fixed(std::abs(dL), 1) + " L*";
}

std::string cast(double da, double db, bool red) {
  const double by = red ? da : db;
  const char* towards =
      red ? (by > 0 ? "too pink" : "too green") : (by > 0 ? "too yellow" : "too blue");
  return fixed(std::abs(by), 1) + " " + towards;
}

void add_casts(const ColourUnder& colour, const std::string& where,
               std::vector<std::string>& words) {
  if (std::abs(colour.da) >= cast_worth_a_word)
    words.push_back(cast(colour.da, colour.db, true) + where);
  if (std::abs(colour.db) >= cast_worth_a_word)
    words.push_back(cast(colour.da, colour.db, false) + where);
}

/// What the worst lamp shows more than the viewing light does.
void add_worst(const TissueCandidate& c, std::vector<std::string>& words) {
  if (c.by_light.empty() || c.worst_de00 < c.de00 + lamp_worth_a_word) return;
  for (const ColourUnder& colour : c.by_light) {
    if (colour.light != c.worst_light) continue;
    const std::string where = " under " + colour.light;
    const std::size_t before = words.size();
    if (std::abs(colour.da - c.da) >= cast_worth_a_word && std::abs(colour.da) >= cast_worth_a_word)
      words.push_back(cast(colour.da, colour.db, true) + where);
    if (std::abs(colour.db - c.db) >= cast_worth_a_word && std::abs(colour.db) >= cast_worth_a_word)
      words.push_back(cast(colour.da, colour.db, false) + where);
    if (words.size() == before) words.push_back("DeltaE00 " + fixed(colour.de00, 1) + where);
  }
}

std::string plies_in_words(int plies) {
  return counted(static_cast<std::size_t>(plies), "ply", "plies");
}

void add_light_sheet(const TissueCandidate& c, const CandidateFacts& facts,
                     std::vector<std::string>& words) {
  if (!c.transmitted.known || std::abs(c.transmitted.dL) < light_sheet_worth_a_word) return;
  std::string text = fixed(std::abs(c.transmitted.dL), 0) + " L* too " +
                     (c.transmitted.dL > 0 ? "bright" : "dark") + " on the light sheet";
  if (facts.plies_for_light_sheet && *facts.plies_for_light_sheet != c.plies)
    text += ": try " + plies_in_words(*facts.plies_for_light_sheet);
  else if (c.transmitted.dL > 0 && c.plies == facts.most_plies && c.plies > 1)
    text += " even with " + plies_in_words(c.plies);
  words.push_back(text);
}

}  // namespace

std::vector<std::string> reasons_of(const TissueCandidate& c, const CandidateFacts& facts) {
  std::vector<std::string> words;
  if (c.dL >= lightness_worth_a_word) words.push_back(lightness(c.dL));
  if (c.dL <= -lightness_worth_a_word)
    words.push_back("darker than the sheet by " + fixed(-c.dL, 1) + " L*");
  if (!c.by_light.empty()) add_casts(c.by_light.front(), "", words);
  if (words.empty() && c.de00 < 1)
    words.push_back("within " + fixed(cast_worth_a_word, 1) + " of the sheet in L*, a* and b*");
  add_worst(c, words);
  add_light_sheet(c, facts, words);
  if (c.weight_g_m2 && facts.sheet_weight_g_m2 && *c.weight_g_m2 > *facts.sheet_weight_g_m2)
    words.push_back("heavier than the sheet");
  if (facts.bleeds.value_or(false)) words.push_back("bleeds when pasted");
  if (c.pasted)
    words.push_back("pasted, " + lightness(c.pasted->dL) + " and then DeltaE00 " +
                    fixed(c.pasted->de00, 1) + " from the sheet (read on this lot)");
  return words;
}

std::vector<std::string> cautions_of(const TissueCandidate& c, const CandidateFacts& facts) {
  std::vector<std::string> words;
  if (!c.pasted && c.state != State::pasted)
    words.push_back(
        "read dry only: expect it darker and more transparent when pasted; read one pasted offcut");
  if (c.state == State::unstated)
    words.push_back("the state of the tissue is not stated; taken as dry");
  if (facts.bleeds.value_or(false))
    words.push_back(
        "its colour moves when wetted: keep wet paste away from the sheet, or choose "
        "another");
  if (c.as_read)
    words.push_back(
        "read over the backing of use only: other plies, the overlap margin and the "
        "light sheet are not known");
  for (const ColourUnder& colour : c.by_light)
    if (!colour.predictable) {
      words.push_back(
          "a brightener was found: its colour under any light but D50 is not "
          "predictable");
      break;
    }
  words.push_back(
      "try tissue and adhesive on the least visible spot of the sheet first; adhesive "
      "at the overlap only");
  return words;
}

}  // namespace mendtone::app
