#include "mendtone/report/sentences.hpp"
#include "report/decisions.hpp"
#include "report/figures.hpp"
#include "report/methods.hpp"
#include "report/story_parts.hpp"
#include "report/tables.hpp"
#include "report/words.hpp"

namespace mendtone::report {
namespace {

std::string fill_sentence(const Fill& fill) {
  const std::string name = capital(fill_words(fill));
  std::vector<std::string> parts{
      fill.over.empty() ? say(Sentence::fill, {{"fill", name}})
                        : say(Sentence::fill_over, {{"fill", name}, {"backing", fill.over}})};
  const auto viewing = [](const Tone& tone) {
    return viewing_words(tone.light, tone.observer_deg);
  };
  if (fill.measured && fill.measured_de00)
    parts.push_back(
        say(Sentence::fill_read_from_sheet, {{"lab", lab_words(fill.measured->lab, 1)},
                                             {"viewing", viewing(*fill.measured)},
                                             {"de00", de00_words(*fill.measured_de00)}}));
  else if (fill.measured)
    parts.push_back(say(Sentence::fill_read, {{"lab", lab_words(fill.measured->lab, 1)},
                                              {"viewing", viewing(*fill.measured)}}));
  if (fill.tone && fill.de00) {
    const std::string direction = direction_words(fill.dL, fill.da, fill.db),
                      de = de00_words(*fill.de00);
    parts.push_back(
        (fill.reasons.empty() || !fill.verdict.empty()) && !direction.empty()
            ? say(Sentence::fill_predicted_direction,
                  {{"de00", de}, {"viewing", viewing(*fill.tone)}, {"direction", direction}})
            : say(Sentence::fill_predicted, {{"de00", de}, {"viewing", viewing(*fill.tone)}}));
  }
  if (!fill.chosen && !fill.refused_because.empty())
    parts.push_back(sentence(fill.refused_because));
  for (const std::string& reason : fill.reasons) parts.push_back(sentence(reason));
  return joined(parts, " ");
}

void add_whole_drops(std::vector<std::string>& parts, const RecipeCard& card) {
  if (!card.whole_drops || !card.whole_drops_de00) return;
  const std::string lab = lab_words(card.whole_drops->lab, 1),
                    viewing =
                        viewing_words(card.whole_drops->light, card.whole_drops->observer_deg),
                    de = de00_words(*card.whole_drops_de00);
  parts.push_back(
      card.whole_drops_aim_de00
          ? say(Sentence::whole_drops_aim, {{"lab", lab},
                                            {"viewing", viewing},
                                            {"de00", de},
                                            {"aim", de00_words(*card.whole_drops_aim_de00)}})
          : say(Sentence::whole_drops, {{"lab", lab}, {"viewing", viewing}, {"de00", de}}));
}

void add_exact_loads(std::vector<std::string>& parts, const RecipeCard& card) {
  if (!card.tone || !card.de00) return;
  const std::string lab = lab_words(card.tone->lab, 1),
                    viewing = viewing_words(card.tone->light, card.tone->observer_deg),
                    de = de00_words(*card.de00);
  const bool exact = card.whole_drops.has_value();
  parts.push_back(card.u95_de00 ? say(exact ? Sentence::exact_loads_sure : Sentence::loads_sure,
                                      {{"lab", lab},
                                       {"viewing", viewing},
                                       {"de00", de},
                                       {"u95", number(*card.u95_de00, 2)}})
                                : say(exact ? Sentence::exact_loads : Sentence::loads,
                                      {{"lab", lab}, {"viewing", viewing}, {"de00", de}}));
}

/// Where the wash goes and how much of it there is, a pair of name and value a line.
Facts facts_of(const RecipeCard& card) {
  Facts facts;
  const auto line = [&](const char* name, const std::string& value) {
    if (!value.empty()) facts.lines.push_back({name, value});
  };
  line("On", card.tissue);
  line("Over", card.over);
  line("Method", card.method);
  line("Volume", card.volume_ml ? number(*card.volume_ml, 0) + " ml" : "");
  line("Area", card.area_cm2 ? number(*card.area_cm2, 0) + " cm\u00b2" : "");
  return facts;
}

std::string recipe_sentence(const RecipeCard& card) {
  std::vector<std::string> parts;
  add_whole_drops(parts, card);
  add_exact_loads(parts, card);
  if (card.one_drop_de00)
    parts.push_back(say(Sentence::one_drop, {{"de00", number(*card.one_drop_de00, 2)}}));
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
  const std::string title = joined({card.loss, card.title}, ": ");
  blocks.emplace_back(Paragraph{
      standing.empty() ? say(Sentence::card_named, {{"title", title}})
                       : say(Sentence::card_standing, {{"title", title}, {"standing", standing}}),
      recipe_sentence(card)});
  if (Facts facts = facts_of(card); !facts.lines.empty()) blocks.emplace_back(std::move(facts));
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
  if (auto trials = trials_table(content)) {
    trials->set = Set::small;
    blocks.emplace_back(*std::move(trials));
  }
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
