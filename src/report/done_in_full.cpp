#include "report/decisions.hpp"
#include "report/figures.hpp"
#include "report/methods.hpp"
#include "report/story_parts.hpp"
#include "report/tables.hpp"
#include "report/words.hpp"

namespace mendtone::report {
namespace {

std::string fill_sentence(const Fill& fill) {
  std::string text = capital(fill_words(fill));
  if (!fill.over.empty()) text += ", over " + fill.over;
  text += ".";
  if (fill.measured)
    text += " Read: " + lab_words(fill.measured->lab, 1) + " under " +
            viewing_words(fill.measured->light, fill.measured->observer_deg) +
            (fill.measured_de00 ? ", " + de00_words(*fill.measured_de00) + " from the sheet" : "") +
            ".";
  if (fill.tone && fill.de00) {
    text += " Predicted: " + de00_words(*fill.de00) + " from the sheet under " +
            viewing_words(fill.tone->light, fill.tone->observer_deg);
    const std::string direction = direction_words(fill.dL, fill.da, fill.db);
    if ((fill.reasons.empty() || !fill.verdict.empty()) && !direction.empty())
      text += ", the fill being " + direction;
    text += ".";
  }
  if (!fill.chosen && !fill.refused_because.empty()) text += " " + sentence(fill.refused_because);
  for (const std::string& reason : fill.reasons) text += " " + sentence(reason);
  return text;
}

std::string recipe_sentence(const RecipeCard& card) {
  std::string text;
  if (!card.tissue.empty()) text += "On " + card.tissue;
  if (!card.over.empty()) text += ", over " + card.over;
  if (!card.method.empty()) text += ", " + card.method;
  if (card.volume_ml) text += ", " + number(*card.volume_ml, 0) + " ml";
  if (card.area_cm2) text += " for " + number(*card.area_cm2, 0) + " cm\u00b2";
  std::vector<std::string> parts{sentence(text)};
  if (card.whole_drops && card.whole_drops_de00)
    parts.push_back("With whole drops, predicted " + lab_words(card.whole_drops->lab, 1) +
                    " under " +
                    viewing_words(card.whole_drops->light, card.whole_drops->observer_deg) + ", " +
                    de00_words(*card.whole_drops_de00) + " from the sheet" +
                    (card.whole_drops_aim_de00
                         ? " and " + de00_words(*card.whole_drops_aim_de00) + " from the aim."
                         : "."));
  if (card.tone && card.de00)
    parts.push_back((card.whole_drops ? "With the exact loads, predicted " : "Predicted ") +
                    lab_words(card.tone->lab, 1) + " under " +
                    viewing_words(card.tone->light, card.tone->observer_deg) + ", " +
                    de00_words(*card.de00) + " from the sheet" +
                    (card.u95_de00 ? " (\u00b1 " + number(*card.u95_de00, 2) + ", 95 %)." : "."));
  if (card.one_drop_de00)
    parts.push_back("One drop more or less moves it by up to " + number(*card.one_drop_de00, 2) +
                    ".");
  for (const std::string& note : card.notes) parts.push_back(sentence(note));
  return joined(parts, " ");
}

void tell_fill(Blocks& blocks, const Fill& fill) {
  blocks.emplace_back(Paragraph{standing_of(fill), fill_sentence(fill)});
  add(blocks, fill_in_place(fill));
  if (auto table = entered_table(fill)) {
    table->set = Set::small;
    blocks.emplace_back(*std::move(table));
  }
}

/// One loss: its fill, or what else was decided.
Blocks one_decision(const Decision& decision) {
  Blocks blocks;
  for (const Fill* fill : decision.chosen) tell_fill(blocks, *fill);
  if (decision.ending) blocks.emplace_back(Paragraph{"", words_of(*decision.ending)});
  if (!decision.is_open()) return blocks;
  for (const Fill* fill : decision.set_aside) tell_fill(blocks, *fill);
  if (decision.nearest) tell_fill(blocks, *decision.nearest);
  return blocks;
}

void tell_card(Blocks& blocks, const RecipeCard& card) {
  const std::string standing = standing_of(card);
  blocks.emplace_back(Paragraph{joined({card.loss, card.title}, ": ") +
                                    (standing.empty() ? "." : " (" + standing + ")."),
                                recipe_sentence(card)});
  auto measure = card.dispense.empty() ? loads_table(card) : dispense_table(card);
  auto coats = coats_table(card);
  if (measure && coats) {
    blocks.emplace_back(TwoTables{*std::move(measure), *std::move(coats)});
    return;
  }
  add(blocks, std::move(measure));
  add(blocks, std::move(coats));
}

Blocks notes(const ReportContent& content) {
  Blocks blocks;
  for (const Note& note : content.notes)
    blocks.emplace_back(
        Paragraph{note.heading.empty() ? "" : sentence(note.heading), sentence(note.text)});
  return blocks;
}

Blocks washes(const ReportContent& content) {
  Blocks blocks;
  for (const RecipeCard* card : cards_in_use(content)) tell_card(blocks, *card);
  add(blocks, trials_table(content));
  return blocks;
}

}  // namespace

Blocks done_in_full(const ReportContent& content) {
  Blocks blocks;
  section(blocks, 2, "The treatment", notes(content));
  for (const Decision& decision : decisions(content))
    section(blocks, 2, decision.loss.empty() ? "The fill" : "Fill of " + decision.loss,
            one_decision(decision));
  section(blocks, 2, "The wash as it was mixed", washes(content));
  Blocks tests;
  add(tests, spot_tests_table(content));
  section(blocks, 2, "Spot tests", std::move(tests));
  if (auto cautions = all_cautions(content); !cautions.empty())
    blocks.emplace_back(Boxed{"Cautions", std::move(cautions)});
  return blocks;
}

}  // namespace mendtone::report
