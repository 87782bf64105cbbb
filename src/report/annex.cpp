#include <algorithm>

#include "mendtone/report/sentences.hpp"
#include "report/decisions.hpp"
#include "report/figures.hpp"
#include "report/methods.hpp"
#include "report/story_parts.hpp"
#include "report/tables.hpp"
#include "report/words.hpp"

namespace mendtone::report {
namespace {

void add_small(Blocks& blocks, std::optional<Table> table) {
  if (!table) return;
  table->set = Set::small;
  blocks.emplace_back(*std::move(table));
}

Blocks places(const ReportContent& content) {
  Blocks blocks;
  bool marked = false;
  for (std::size_t i = 0; i < content.pictures.size(); ++i) {
    if (content.pictures[i].kind != "sheet") continue;
    blocks.emplace_back(picture_figure(content, i));
    marked = true;
  }
  Table table{
      say(Sentence::table_places), {{"Spot", Holds::name}, {"Where it is", Holds::text}}, {}};
  for (const Spot& spot : content.spots)
    if (!spot.place.empty() && !(marked && spot.picture && spot.outline.points.size() >= 3))
      table.rows.push_back({{spot.name, {}}, {spot.place, {}}});
  if (!table.rows.empty()) add_small(blocks, std::move(table));
  return blocks;
}

Blocks readings(const ReportContent& content) {
  Blocks blocks;
  add_small(blocks, readings_table(content));
  add_small(blocks, conditions_table(content));
  return blocks;
}

Blocks change(const ReportContent& content) {
  Blocks blocks;
  add(blocks, change_scale(content));
  add_small(blocks, differences_table(content));
  return blocks;
}

Blocks fills(const ReportContent& content) {
  Blocks blocks;
  add(blocks, fill_strip(content, 5));
  add_small(blocks, fills_table(content));
  for (const Decision& decision : decisions(content)) {
    std::vector<const Fill*> shown = decision.chosen;
    if (shown.empty() && decision.nearest) shown.push_back(decision.nearest);
    for (const Fill* fill : shown)
      if (fill->tone)
        add_small(blocks, lights_table(fill->by_light, fill->tone->observer_deg,
                                       capital(fill_words(*fill))));
  }
  return blocks;
}

Blocks washes(const ReportContent& content) {
  Blocks blocks;
  if (content.recipes.size() > 1) add_small(blocks, recipes_table(content));
  for (const RecipeCard* card : cards_in_use(content)) {
    if (!card->dispense.empty()) add_small(blocks, loads_table(*card));
    if (card->tone)
      add_small(blocks, lights_table(card->by_light, card->tone->observer_deg,
                                     card->title + (card->whole_drops ? ", exact loads" : "")));
  }
  return blocks;
}

Blocks series(const ReportContent& content) {
  Blocks blocks;
  add(blocks, series_figure(content));
  add_small(blocks, series_table(content));
  return blocks;
}

Blocks only(std::optional<Figure> figure) {
  Blocks blocks;
  add(blocks, std::move(figure));
  return blocks;
}

/// Pictures that stand nowhere else: raking, transmitted and ultraviolet light, later stages.
Blocks other_pictures(const ReportContent& content) {
  const std::vector<std::size_t> front = front_pictures(content);
  Blocks blocks;
  for (std::size_t i = 0; i < content.pictures.size(); ++i) {
    const std::string& kind = content.pictures[i].kind;
    if (kind == "sheet" || kind == "change" || kind == "scale") continue;
    if (std::find(front.begin(), front.end(), i) != front.end()) continue;
    blocks.emplace_back(picture_figure(content, i));
  }
  return blocks;
}

Blocks entered(const ReportContent& content) {
  Blocks blocks;
  add_small(blocks, all_entered(content));
  return blocks;
}

Blocks methods(const ReportContent& content) {
  const std::string text = methods_paragraph(content);
  return text.empty() ? Blocks{} : Blocks{Paragraph{"", text, Set::small}};
}

Blocks small_bullets(std::vector<std::string> items) {
  return items.empty() ? Blocks{} : Blocks{Bullets{std::move(items), Set::small}};
}

}  // namespace

Blocks annex(const ReportContent& content) {
  Blocks blocks;
  section(blocks, 3, "Where the readings were taken", places(content));
  section(blocks, 3, "Readings", readings(content));
  section(blocks, 3, "Change, on one scale", change(content));
  section(blocks, 3, "How sure the tones are", only(regions(content)));
  section(blocks, 3, "Spectra", only(spectra(content)));
  section(blocks, 3, "Fills considered", fills(content));
  section(blocks, 3, "Washes", washes(content));
  section(blocks, 3, "Series", series(content));
  section(blocks, 3, "Change maps", only(change_maps(content)));
  section(blocks, 3, "Other pictures", other_pictures(content));
  section(blocks, 3, "Methods", methods(content));
  section(blocks, 3, "What is not known", small_bullets(not_known(content)));
  section(blocks, 3, "Warnings from the readings", small_bullets(all_warnings(content)));
  section(blocks, 3, "As it was entered", entered(content));
  Blocks sources;
  if (!content.sources.empty())
    sources.emplace_back(Paragraph{"", joined(content.sources, "; ") + ".", Set::small});
  section(blocks, 3, "Made from", std::move(sources));
  return blocks;
}

}  // namespace mendtone::report
