#include "mendtone/report/story.hpp"

#include <algorithm>

#include "report/decisions.hpp"
#include "report/figures.hpp"
#include "report/methods.hpp"
#include "report/tables.hpp"
#include "report/words.hpp"

namespace mendtone::report {
namespace {

using Blocks = std::vector<Block>;

template <class T>
bool add(Blocks& blocks, std::optional<T> block) {
  if (block) blocks.emplace_back(*std::move(block));
  return block.has_value();
}

/// A heading and what belongs to it, unless there is nothing.
void section(Blocks& blocks, int level, const std::string& heading, Blocks inside) {
  if (inside.empty()) return;
  blocks.emplace_back(Heading{level, heading});
  for (Block& block : inside) blocks.emplace_back(std::move(block));
}

Facts front_facts(const ReportContent& content) {
  Facts facts;
  const auto line = [&](const char* name, const std::string& value) {
    if (!value.empty()) facts.lines.push_back({name, value});
  };
  line("Description", content.object_description);
  line("Laboratory", content.laboratory);
  line("Treated by", content.operator_name);
  line("Report of", content.date);
  line("Data", content.data_notice);
  return facts;
}

/// The differences under the first light, the one of viewing.
std::vector<const Difference*> main_differences(const ReportContent& content) {
  std::vector<const Difference*> all;
  for (const Difference& d : content.differences)
    if (d.light == content.differences.front().light) all.push_back(&d);
  return all;
}

std::string verdict_summary(const std::vector<const Difference*>& differences) {
  const auto count = [&](const char* verdict) {
    return std::count_if(differences.begin(), differences.end(),
                         [&](const Difference* d) { return d->verdict == verdict; });
  };
  const auto words = [](std::ptrdiff_t n, const char* what) {
    return std::to_string(n) + (n == 1 ? " spot " : " spots ") + what;
  };
  std::vector<std::string> parts;
  if (const auto n = count("within")) parts.push_back(words(n, "within the tolerance"));
  if (const auto n = count("beyond")) parts.push_back(words(n, "beyond it"));
  if (const auto n = count("undecided"))
    parts.push_back(words(n, "not decidable with these readings"));
  return parts.empty() ? "" : joined(parts, ", ") + ".";
}

Blocks change_in_use(const ReportContent& content) {
  Blocks blocks;
  const auto differences = main_differences(content);
  if (!differences.empty()) {
    const std::string summary = verdict_summary(differences);
    if (!summary.empty()) blocks.emplace_back(Paragraph{"In short.", summary});
    constexpr std::size_t most = 6;
    Bullets bullets;
    for (std::size_t i = 0; i < std::min(most, differences.size()); ++i)
      bullets.items.push_back(differences[i]->spot + ": " + finding(*differences[i]));
    blocks.emplace_back(std::move(bullets));
  }
  add(blocks, before_and_after(content));
  return blocks;
}

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
    if ((fill.reasons.empty() || !fill.verdict.empty()) && !direction.empty()) text += ", the fill being " + direction;
    text += ".";
  }
  if (!fill.chosen && !fill.refused_because.empty()) text += " " + sentence(fill.refused_because);
  for (const std::string& reason : fill.reasons) text += " " + sentence(reason);
  return text;
}

Blocks fill_in_use(const ReportContent& content) {
  Blocks blocks;
  for (const Decision& decision : decisions(content)) {
    const std::string where = decision.loss.empty() ? "" : capital(decision.loss) + ". ";
    const auto tell = [&](const Fill& fill) {
      blocks.emplace_back(Paragraph{where + standing_of(fill), fill_sentence(fill)});
      add(blocks, entered_table(fill));
    };
    for (const Fill* fill : decision.chosen) {
      tell(*fill);
      add(blocks, fill_in_place(*fill));
    }
    if (decision.ending) blocks.emplace_back(Paragraph{where, words_of(*decision.ending)});
    if (!decision.is_open()) continue;
    for (const Fill* fill : decision.set_aside) tell(*fill);
    if (!decision.nearest) continue;
    tell(*decision.nearest);
    add(blocks, fill_in_place(*decision.nearest));
  }
  return blocks;
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

Blocks card_in_use(const ReportContent& content) {
  Blocks blocks;
  for (const RecipeCard* card : cards_in_use(content)) {
    const std::string standing = standing_of(*card);
    blocks.emplace_back(Paragraph{joined({card->loss, card->title}, ": ") +
                                      (standing.empty() ? "." : " (" + standing + ")."),
                                  recipe_sentence(*card)});
    auto measure = card->dispense.empty() ? loads_table(*card) : dispense_table(*card);
    auto coats = coats_table(*card);
    if (measure && coats) {
      blocks.emplace_back(TwoTables{*std::move(measure), *std::move(coats)});
      continue;
    }
    add(blocks, std::move(measure));
    add(blocks, std::move(coats));
  }
  return blocks;
}

void boxed(Blocks& blocks, const char* heading, std::vector<std::string> items) {
  if (!items.empty()) blocks.emplace_back(Boxed{heading, std::move(items)});
}

Blocks notes(const ReportContent& content) {
  Blocks blocks;
  for (const Note& note : content.notes)
    blocks.emplace_back(
        Paragraph{note.heading.empty() ? "" : sentence(note.heading), sentence(note.text)});
  return blocks;
}

Blocks places(const ReportContent& content) {
  Blocks blocks;
  for (std::size_t i = 0; i < content.pictures.size(); ++i)
    if (content.pictures[i].kind == "sheet") blocks.emplace_back(picture_figure(content, i));
  Table table{"The spots", {{"Spot", Holds::name}, {"Where it is", Holds::text}}, {}};
  for (const Spot& spot : content.spots)
    if (!spot.place.empty()) table.rows.push_back({{spot.name, {}}, {spot.place, {}}});
  if (!table.rows.empty()) blocks.emplace_back(std::move(table));
  return blocks;
}

Blocks readings(const ReportContent& content) {
  Blocks blocks;
  add(blocks, readings_table(content));
  add(blocks, conditions_table(content));
  return blocks;
}

Blocks change(const ReportContent& content) {
  Blocks blocks;
  add(blocks, change_scale(content));
  add(blocks, differences_table(content));
  return blocks;
}

Blocks fills(const ReportContent& content) {
  Blocks blocks;
  add(blocks, fill_strip(content, 5));
  add(blocks, fills_table(content));
  for (const Decision& decision : decisions(content)) {
    std::vector<const Fill*> shown = decision.chosen;
    if (shown.empty() && decision.nearest) shown.push_back(decision.nearest);
    for (const Fill* fill : shown)
      if (fill->tone)
        add(blocks,
            lights_table(fill->by_light, fill->tone->observer_deg, capital(fill_words(*fill))));
  }
  return blocks;
}

Blocks washes(const ReportContent& content) {
  Blocks blocks;
  if (content.recipes.size() > 1) add(blocks, recipes_table(content));
  for (const RecipeCard* card : cards_in_use(content)) {
    if (!card->dispense.empty()) add(blocks, loads_table(*card));
    if (card->tone) add(blocks, lights_table(card->by_light, card->tone->observer_deg,
                                           card->title + (card->whole_drops ? ", exact loads" : "")));
  }
  return blocks;
}

Blocks trials(const ReportContent& content) {
  Blocks blocks;
  add(blocks, trials_table(content));
  return blocks;
}

Blocks series(const ReportContent& content) {
  Blocks blocks;
  for (const Series& one : content.series) {
    add(blocks, series_figure(one));
    add(blocks, series_table(one));
  }
  return blocks;
}

Blocks other_pictures(const ReportContent& content, bool change_maps) {
  Blocks blocks;
  for (std::size_t i = 0; i < content.pictures.size(); ++i) {
    const std::string& kind = content.pictures[i].kind;
    if (kind != "sheet" && (kind == "change") == change_maps)
      blocks.emplace_back(picture_figure(content, i));
  }
  return blocks;
}

Blocks only(std::optional<Figure> figure) {
  Blocks blocks;
  add(blocks, std::move(figure));
  return blocks;
}

Blocks entered(const ReportContent& content) {
  Blocks blocks;
  for (Table& table : entered_tables(content)) blocks.emplace_back(std::move(table));
  return blocks;
}

Blocks methods(const ReportContent& content) {
  const std::string text = methods_paragraph(content);
  return text.empty() ? Blocks{} : Blocks{Paragraph{"", text}};
}

Blocks bullets(std::vector<std::string> items) {
  return items.empty() ? Blocks{} : Blocks{Bullets{std::move(items)}};
}

Blocks use(const ReportContent& content) {
  Blocks blocks;
  const Facts facts = front_facts(content);
  if (!facts.lines.empty()) blocks.emplace_back(facts);
  section(blocks, 2, "What was done", notes(content));
  section(blocks, 2, "Before and after", change_in_use(content));
  section(blocks, 2, "The fill", fill_in_use(content));
  section(blocks, 2, "Card for the bench", card_in_use(content));
  boxed(blocks, "Cautions", all_cautions(content));
  boxed(blocks, "Not known", not_known(content));
  blocks.emplace_back(Signature{});
  return blocks;
}

Blocks evidence(const ReportContent& content) {
  Blocks blocks;
  section(blocks, 3, "Where the readings were taken", places(content));
  section(blocks, 3, "Readings", readings(content));
  section(blocks, 3, "Change, on one scale", change(content));
  section(blocks, 3, "How sure the tones are", only(regions(content)));
  section(blocks, 3, "Spectra", only(spectra(content)));
  section(blocks, 3, "Fills considered", fills(content));
  section(blocks, 3, "Washes", washes(content));
  section(blocks, 3, "Trials", trials(content));
  section(blocks, 3, "Series", series(content));
  section(blocks, 3, "As it was entered", entered(content));
  section(blocks, 3, "Change maps", other_pictures(content, true));
  section(blocks, 3, "Other pictures", other_pictures(content, false));
  section(blocks, 3, "Warnings from the readings", bullets(all_warnings(content)));
  section(blocks, 3, "Methods", methods(content));
  section(blocks, 3, "Made from", bullets(content.sources));
  return blocks;
}

}  // namespace

Story tell(const ReportContent& content) {
  Story story;
  story.title = content.title.empty() ? "Colour report" : content.title;
  story.subtitle = content.object_id;
  story.running_head = joined({content.object_id, story.title}, "  \u00b7  ");
  story.running_foot =
      joined({content.date, content.program_version, content.data_notice}, "  \u00b7  ");
  story.blocks = use(content);
  Blocks more = evidence(content);
  if (more.empty()) return story;
  story.blocks.emplace_back(NewPage{});
  story.blocks.emplace_back(Heading{2, "Evidence"});
  for (Block& block : more) story.blocks.emplace_back(std::move(block));
  return story;
}

}  // namespace mendtone::report
