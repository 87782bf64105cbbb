#include "report/tables.hpp"

#include <algorithm>

#include "mendtone/report/sentences.hpp"
#include "report/decisions.hpp"
#include "report/words.hpp"

namespace mendtone::report {
namespace {

constexpr const char* not_stated = "not stated";

std::string or_not_stated(const std::string& text) {
  return text.empty() ? not_stated : text;
}

Cell toned(std::string text, const Tone& tone) {
  return {std::move(text), tone.screen};
}

Cell toned(std::string text, const std::optional<Tone>& tone) {
  return tone ? toned(std::move(text), *tone) : Cell{std::move(text), {}};
}

std::vector<Cell> lab_cells(const Lab& lab) {
  return {{number(lab.L, 2), {}}, {number(lab.a, 2), {}}, {number(lab.b, 2), {}}};
}

void append(std::vector<Cell>& row, std::vector<Cell> more) {
  row.insert(row.end(), more.begin(), more.end());
}

bool says_nothing(const Table& table, std::size_t column) {
  return std::all_of(table.rows.begin(), table.rows.end(), [&](const std::vector<Cell>& row) {
    return (row[column].text.empty() || row[column].text == "\u2013") && !row[column].swatch;
  });
}

/// Columns without a single entry are left out.
std::optional<Table> with_rows(Table table) {
  if (table.rows.empty()) return std::nullopt;
  for (std::size_t i = table.columns.size(); i-- > 1;) {
    if (!says_nothing(table, i)) continue;
    const auto at = static_cast<std::ptrdiff_t>(i);
    table.columns.erase(table.columns.begin() + at);
    for (auto& row : table.rows) row.erase(row.begin() + at);
  }
  return table;
}

/// "lighter by 0.3 L*" stands in a column of its own.
bool repeats_a_column(const std::string& reason) {
  for (const char* unit : {" L*", " a*", " b*"})
    if (reason.size() > 3 && reason.compare(reason.size() - 3, 3, unit) == 0 &&
        reason.find(" by ") != std::string::npos)
      return true;
  return false;
}

/// Loss by loss as they were first named; within one by score, and what has none behind.
std::vector<const Fill*> in_order_of_score(const ReportContent& content) {
  std::vector<std::string> losses;
  for (const Fill& f : content.fills) add_new(losses, {f.loss.empty() ? " " : f.loss});
  const auto place = [&](const Fill& f) {
    return std::find(losses.begin(), losses.end(), f.loss.empty() ? " " : f.loss) - losses.begin();
  };
  std::vector<const Fill*> fills;
  for (const Fill& f : content.fills) fills.push_back(&f);
  std::stable_sort(fills.begin(), fills.end(), [&](const Fill* p, const Fill* q) {
    if (place(*p) != place(*q)) return place(*p) < place(*q);
    return p->score.value_or(1e300) < q->score.value_or(1e300);
  });
  return fills;
}

/// "nearest first" is said only where it is so.
std::string order_words(const std::vector<const Fill*>& fills) {
  const bool scored =
      std::any_of(fills.begin(), fills.end(), [](const Fill* f) { return f->score.has_value(); });
  bool nearest_first = true;
  for (std::size_t i = 1; i < fills.size(); ++i)
    if (fills[i]->loss == fills[i - 1]->loss &&
        fills[i]->de00.value_or(1e300) < fills[i - 1]->de00.value_or(1e300))
      nearest_first = false;
  if (!scored)
    return say(nearest_first ? Sentence::table_fills_nearest : Sentence::table_fills_entered);
  return say(nearest_first ? Sentence::table_fills_score_nearest : Sentence::table_fills_score);
}

std::string unit_words(const std::string& unit) {
  if (unit == "g_m2") return "g/m\u00b2";
  if (unit == "ml_m2") return "ml/m\u00b2";
  if (unit == "relative") return "relative load";
  return unit.empty() ? "unit not stated" : unit;
}

}  // namespace

std::optional<Table> readings_table(const ReportContent& content) {
  Table table{say(Sentence::table_readings),
              {{"Spot", Holds::name},
               {"Stage", Holds::text},
               {"Over", Holds::text},
               {"Light", Holds::name},
               {"L*", Holds::number},
               {"a*", Holds::number},
               {"b*", Holds::number},
               {"Repeats", Holds::number},
               {std::string("Spread ") + de00_sign, Holds::number}},
              {}};
  for (const Reading& r : content.readings) {
    std::vector<Cell> row{toned(r.spot, r.tone),
                          {r.stage, {}},
                          {r.backing.empty() ? "\u2013" : r.backing, {}},
                          {viewing_words(r.tone.light, r.tone.observer_deg), {}}};
    append(row, lab_cells(r.tone.lab));
    row.push_back({r.n > 0 ? std::to_string(r.n) : "\u2013", {}});
    row.push_back({number(r.spread_de00, 2), {}});
    table.rows.push_back(std::move(row));
  }
  return with_rows(std::move(table));
}

std::optional<Table> conditions_table(const ReportContent& content) {
  struct How {
    std::vector<Cell> cells;
    std::vector<std::pair<std::string, std::vector<std::string>>> spots_by_stage;
  };
  std::vector<How> ways;
  for (const Reading& r : content.readings) {
    const bool one_line = !r.conditions.empty();
    const auto cell = [&](const std::string& text) {
      return Cell{one_line ? text : or_not_stated(text), {}};
    };
    const std::vector<Cell> cells{cell(r.instrument), cell(r.geometry), cell(r.condition),
                                  cell(r.backing),    cell(r.state),    cell(r.taken),
                                  {r.conditions, {}}};
    auto way = std::find_if(ways.begin(), ways.end(), [&](const How& known) {
      return std::equal(cells.begin(), cells.end(), known.cells.begin(),
                        [](const Cell& p, const Cell& q) { return p.text == q.text; });
    });
    if (way == ways.end()) way = ways.insert(ways.end(), {cells, {}});
    auto& stages = way->spots_by_stage;
    auto stage = std::find_if(stages.begin(), stages.end(),
                              [&](const auto& known) { return known.first == r.stage; });
    if (stage == stages.end()) stage = stages.insert(stages.end(), {r.stage, {}});
    add_new(stage->second, {r.spot});
  }
  Table table{say(Sentence::table_conditions),
              {{"Stage and spots", Holds::text},
               {"Instrument", Holds::text},
               {"Geometry", Holds::name},
               {"Condition", Holds::name},
               {"Backing", Holds::text},
               {"State", Holds::name},
               {"Taken", Holds::name},
               {"Conditions", Holds::text}},
              {}};
  for (const How& way : ways) {
    std::vector<std::string> who;
    for (const auto& [stage, spots] : way.spots_by_stage)
      who.push_back((stage.empty() ? "" : stage + ": ") + some_of(spots, 6));
    std::vector<Cell> row{{joined(who, "; "), {}}};
    append(row, way.cells);
    table.rows.push_back(std::move(row));
  }
  return with_rows(std::move(table));
}

std::optional<Table> differences_table(const ReportContent& content) {
  Table table{say(Sentence::table_differences),
              {{"Spot", Holds::name},
               {"Compared", Holds::text},
               {"Light", Holds::name},
               {std::string(de00_sign) + " (95 %)", Holds::number},
               {"\u0394L*", Holds::number},
               {"\u0394a*", Holds::number},
               {"\u0394b*", Holds::number},
               {"Grey scale grade, ISO 105-A05", Holds::number},
               {"Against tolerance", Holds::text}},
              {}};
  for (const Difference& d : content.differences) {
    const std::string range = interval(d.low, d.high);
    std::string stages = d.from_stage;
    if (!d.to_stage.empty()) stages += (stages.empty() ? "" : " \u2192 ") + d.to_stage;
    std::string verdict = d.verdict;
    if (verdict.empty()) verdict = "no verdict";
    if (d.tolerance) verdict += ", " + number(*d.tolerance, 1);
    if (d.more_readings) verdict += "; " + more_readings_words(*d.more_readings);
    table.rows.push_back({{d.spot, {}},
                          {stages, {}},
                          {viewing_words(d.light, d.observer_deg), {}},
                          {number(d.de00, 2) + (range.empty() ? "" : " (" + range + ")"), {}},
                          {signed_number(d.dL, 2), {}},
                          {signed_number(d.da, 2), {}},
                          {signed_number(d.db, 2), {}},
                          {number(d.grey_rating, 1), {}},
                          {verdict, {}}});
  }
  return with_rows(std::move(table));
}

std::optional<Table> fills_table(const ReportContent& content) {
  const bool some_nearest =
      std::any_of(content.fills.begin(), content.fills.end(),
                  [](const Fill& f) { return f.nearest_probability.has_value(); });
  Table table{"",
              {{"Fill", Holds::name},
               {"For", Holds::name},
               {"Score", Holds::number},
               {de00_sign, Holds::number},
               {"\u0394L*", Holds::number},
               {"\u0394a*", Holds::number},
               {"\u0394b*", Holds::number},
               {"Worst lamp", Holds::name},
               {"Taken or not, and why", Holds::text}},
              {}};
  if (some_nearest)
    table.columns.insert(table.columns.begin() + 4, {"Chance of being the nearest", Holds::number});
  const std::vector<const Fill*> fills = in_order_of_score(content);
  table.caption = order_words(fills);
  for (const Fill* one : fills) {
    const Fill& f = *one;
    std::string why =
        f.chosen || !f.verdict.empty() || !f.refused_because.empty() ? standing_of(f) + " " : "";
    if (!f.chosen && !f.refused_because.empty()) why += sentence(f.refused_because) + " ";
    std::vector<std::string> reasons;
    for (const std::string& reason : f.reasons)
      if (!f.verdict.empty() || !repeats_a_column(reason)) reasons.push_back(sentence(reason));
    why += joined(reasons, " ");
    const std::string worst =
        f.worst_de00 ? number(*f.worst_de00, 2) + ", " + f.worst_light : "\u2013";
    std::vector<Cell> row{toned(fill_words(f), f.tone),
                          {f.loss, {}},
                          {number(f.score, 2), {}},
                          {number(f.de00, 2), {}},
                          {signed_number(f.dL, 1), {}},
                          {signed_number(f.da, 1), {}},
                          {signed_number(f.db, 1), {}},
                          {worst, {}},
                          {why, {}}};
    if (some_nearest)
      row.insert(
          row.begin() + 4,
          Cell{f.nearest_probability ? number(100 * *f.nearest_probability, 0) + " %" : "\u2013",
               {}});
    table.rows.push_back(std::move(row));
  }
  return with_rows(std::move(table));
}

std::optional<Table> entered_table(const Fill& fill) {
  Table table{
      say(Sentence::table_fill_entered), {{"What", Holds::name}, {"Entered", Holds::text}}, {}};
  for (const Fact& fact : fill.entered)
    table.rows.push_back({{fact_label(fact.name), {}}, {fact.value, {}}});
  return with_rows(std::move(table));
}

namespace {

std::string entered_words(const Entered& one) {
  std::vector<std::string> facts;
  for (const Fact& fact : one.facts) {
    const std::string value =
        fact.name == "outline"
            ? std::to_string(std::count(fact.value.begin(), fact.value.end(), ',')) + " corners"
            : fact.value;
    facts.push_back(fact_label(fact.name) + ": " + value);
  }
  return joined(facts, "; ");
}

}  // namespace

std::optional<Table> all_entered(const ReportContent& content) {
  Table table{say(Sentence::table_all_entered),
              {{"Thing", Holds::text}, {"Name", Holds::text}, {"Entered", Holds::text}},
              {}};
  for (const Entered& one : content.entered)
    table.rows.push_back(
        {{capital(fact_label(one.kind)), {}}, {one.name, {}}, {entered_words(one), {}}});
  return with_rows(std::move(table));
}

std::optional<Table> spot_tests_table(const ReportContent& content) {
  const std::array<const char*, 6> facts{"tested",  "liquid",   "place",
                                         "outcome", "happened", "made"};
  Table table{say(Sentence::table_spot_tests), {}, {}};
  for (const char* fact : facts) table.columns.push_back({capital(fact_label(fact)), Holds::text});
  for (const Entered& one : content.entered) {
    if (one.kind != "spot_test") continue;
    std::vector<Cell> row;
    for (const char* wanted : facts) {
      std::string value;
      for (const Fact& fact : one.facts)
        if (fact.name == wanted) value = fact.value;
      row.push_back({value, {}});
    }
    table.rows.push_back(std::move(row));
  }
  return with_rows(std::move(table));
}

std::optional<Table> lights_table(const std::vector<UnderLight>& by_light, int observer_deg,
                                  const std::string& what) {
  Table table{say(Sentence::table_lights, {{"what", what}}),
              {{"Light", Holds::name},
               {"L*", Holds::number},
               {"a*", Holds::number},
               {"b*", Holds::number},
               {de00_sign, Holds::number},
               {"\u0394L*", Holds::number},
               {"\u0394a*", Holds::number},
               {"\u0394b*", Holds::number}},
              {}};
  for (const UnderLight& u : by_light) {
    std::vector<Cell> row{{viewing_words(u.light, observer_deg), {}}};
    append(row, lab_cells(u.lab));
    append(row, {{number(u.de00, 2), {}},
                 {signed_number(u.dL, 2), {}},
                 {signed_number(u.da, 2), {}},
                 {signed_number(u.db, 2), {}}});
    table.rows.push_back(std::move(row));
  }
  return with_rows(std::move(table));
}

std::optional<Table> dispense_table(const RecipeCard& card) {
  Table table{say(Sentence::table_dispense),
              {{"Stock", Holds::text}, {"Drops", Holds::number}, {"Millilitres", Holds::number}},
              {}};
  for (const Dispense& item : card.dispense)
    table.rows.push_back({{item.stock, {}}, {number(item.drops, 0), {}}, {number(item.ml, 2), {}}});
  return with_rows(std::move(table));
}

std::optional<Table> loads_table(const RecipeCard& card) {
  Table table{say(Sentence::table_loads),
              {{"Colorant", Holds::text}, {"Load, " + unit_words(card.load_unit), Holds::number}},
              {}};
  for (const Load& load : card.loads)
    table.rows.push_back({{load.colorant, {}}, {significant(load.load), {}}});
  return with_rows(std::move(table));
}

std::optional<Table> coats_table(const RecipeCard& card) {
  Table table{say(Sentence::table_coats),
              {{"After coat", Holds::text},
               {"L*", Holds::number},
               {"a*", Holds::number},
               {"b*", Holds::number},
               {de00_sign, Holds::number},
               {"\u0394L* on the light sheet", Holds::number}},
              {}};
  for (const Coat& coat : card.coats) {
    std::vector<Cell> row{{std::to_string(coat.n), coat.tone ? coat.tone->screen : std::nullopt}};
    if (coat.tone)
      append(row, lab_cells(coat.tone->lab));
    else
      append(row, {{"\u2013", {}}, {"\u2013", {}}, {"\u2013", {}}});
    append(row, {{number(coat.de00, 2), {}}, {signed_number(coat.transmitted_dL, 1), {}}});
    table.rows.push_back(std::move(row));
  }
  return with_rows(std::move(table));
}

std::optional<Table> recipes_table(const ReportContent& content) {
  Table table{say(Sentence::table_recipes),
              {{"Wash", Holds::text},
               {"Loads", Holds::text},
               {de00_sign, Holds::number},
               {std::string("From the aim, ") + de00_sign, Holds::number},
               {"Worst lamp", Holds::name},
               {"One drop", Holds::number}},
              {}};
  for (const RecipeCard& card : content.recipes) {
    std::vector<std::string> loads;
    for (const Load& load : card.loads)
      loads.push_back(load.colorant + " " + significant(load.load));
    table.rows.push_back(
        {toned(card.title + (card.chosen ? " (chosen)" : ""), card.tone),
         {joined(loads, ", ") + " " + unit_words(card.load_unit), {}},
         {number(card.whole_drops_de00 ? card.whole_drops_de00 : card.de00, 2), {}},
         {number(card.whole_drops_de00 ? card.whole_drops_aim_de00 : card.aim_de00, 2), {}},
         {card.worst_de00 ? number(*card.worst_de00, 2) + ", " + card.worst_light : "\u2013", {}},
         {card.one_drop_de00 ? "\u00b1" + number(*card.one_drop_de00, 2) : "\u2013", {}}});
  }
  return with_rows(std::move(table));
}

std::optional<Table> trials_table(const ReportContent& content) {
  Table table{say(Sentence::table_trials),
              {{"Trial", Holds::text},
               {"Predicted L* a* b*", Holds::name},
               {"Read L* a* b*", Holds::name},
               {std::string("From the sheet, ") + de00_sign, Holds::number},
               {std::string("From the aim, ") + de00_sign, Holds::number},
               {std::string("From the prediction, ") + de00_sign, Holds::number},
               {"What it taught", Holds::text}},
              {}};
  const auto lab = [](const std::optional<Tone>& tone) {
    if (!tone) return Cell{"\u2013", {}};
    return Cell{
        number(tone->lab.L, 1) + "  " + number(tone->lab.a, 1) + "  " + number(tone->lab.b, 1),
        tone->screen};
  };
  for (const Trial& trial : content.trials) {
    std::vector<std::string> taught;
    for (const Learned& l : trial.learned) {
      const std::string u = l.u95 ? " \u00b1 " + number(100 * *l.u95, 0) + " %" : "";
      taught.push_back(l.colorant + " " + signed_number(100 * (l.strength - 1), 0) + " %" + u);
    }
    std::vector<std::string> words;
    if (!taught.empty())
      words.push_back(say(Sentence::learned, {{"strengths", joined(taught, ", ")}}));
    for (const std::string& note : trial.notes) words.push_back(sentence(note));
    table.rows.push_back({{joined({trial.name, trial.when}, ", "), {}},
                          lab(trial.predicted),
                          lab(trial.measured),
                          {number(trial.de00_to_sheet, 2), {}},
                          {number(trial.de00_to_aim, 2), {}},
                          {number(trial.de00_to_prediction, 2), {}},
                          {joined(words, " "), {}}});
  }
  return with_rows(std::move(table));
}

std::optional<Table> series_table(const ReportContent& content) {
  if (content.series.empty()) return std::nullopt;
  constexpr std::size_t most_spots = 4;
  std::vector<const Series*> shown;
  for (const Series& one : content.series)
    if (shown.size() < most_spots) shown.push_back(&one);
  Table table{say(Sentence::table_series),
              {{capital(shown.front()->steps.empty() ? "step" : shown.front()->steps), Holds::text},
               {"Minutes", Holds::number},
               {"\u00b0C", Holds::number},
               {"pH", Holds::number},
               {"\u00b5S/cm", Holds::number}},
              {}};
  for (const Series* one : shown)
    table.columns.push_back({std::string(de00_sign) + ", " + one->spot, Holds::number});
  table.columns.push_back({"Water", Holds::text});
  std::vector<std::string> steps;
  for (const Series& one : content.series)
    for (const SeriesPoint& point : one.points) add_new(steps, {point.label});
  for (const std::string& step : steps) {
    const SeriesPoint* any = nullptr;
    std::vector<Cell> change;
    for (const Series& one : content.series)
      for (const SeriesPoint& point : one.points)
        if (point.label == step && (!any || any->note.empty())) any = &point;
    for (const Series* one : shown) {
      std::string text = "\u2013";
      for (const SeriesPoint& point : one->points)
        if (point.label == step) text = number(point.de00, 2);
      change.push_back({text, {}});
    }
    std::vector<Cell> row{{step, {}},
                          {number(any->minutes, 0), {}},
                          {number(any->temperature_c, 0), {}},
                          {number(any->ph, 1), {}},
                          {number(any->conductivity_us_cm, 0), {}}};
    append(row, std::move(change));
    row.push_back({any->note, {}});
    table.rows.push_back(std::move(row));
  }
  return with_rows(std::move(table));
}

}  // namespace mendtone::report
