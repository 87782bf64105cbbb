#include <algorithm>

#include "mendtone/colour/change.hpp"
#include "mendtone/report/sentences.hpp"
#include "report/decisions.hpp"
#include "report/figures.hpp"
#include "report/methods.hpp"
#include "report/story_parts.hpp"
#include "report/words.hpp"

namespace mendtone::report {
namespace {

/// How much the first page holds at each degree of detail.
struct Room {
  double picture_pt;
  std::size_t changes, unknowns, strip;
  std::size_t letters;  ///< of what was done to one loss
  Set set;
};

Room room_for(Detail detail) {
  switch (detail) {
    case Detail::full:
      return {190, 6, 6, 6, 400, Set::body};
    case Detail::some:
      return {130, 4, 4, 6, 240, Set::small};
    case Detail::brief:
      return {92, 2, 2, 6, 140, Set::small};
    case Detail::counts:
      break;
  }
  return {0, 0, 1, 0, 80, Set::small};
}

std::string treated(const ReportContent& content) {
  std::string days = content.first_day;
  if (!content.last_day.empty() && content.last_day != content.first_day)
    days += " to " + content.last_day;
  return joined({content.operator_name, days}, ", ");
}

std::string shortened(const std::string& text, std::size_t most) {
  if (characters(text) <= most) return text;
  std::string cut;
  std::size_t letters = 0;
  for (const char c : text) {
    const bool begins = (static_cast<unsigned char>(c) & 0xC0) != 0x80;
    if (begins && letters++ == most) break;
    cut += c;
  }
  return cut + "\u2026";
}

/// Baths and notes as one text.
std::string notes_in_short(const ReportContent& content) {
  std::vector<std::string> parts;
  for (const Note& note : content.notes)
    parts.push_back(joined({note.heading, sentence(note.text)}, ": "));
  return joined(parts, " ");
}

Facts object_facts(const ReportContent& content, std::size_t letters) {
  Facts facts;
  const auto line = [&](const char* name, const std::string& value) {
    if (!value.empty()) facts.lines.push_back({name, value});
  };
  line("Object", content.object_description);
  line("Treated by", treated(content));
  line("What was done", shortened(notes_in_short(content), letters));
  line("Report made", joined({content.date, content.laboratory}, ", "));
  line("Data", content.data_notice);
  return facts;
}

/// How near a fill came: read first; else predicted, and that it was not read.
Cell nearness(const Fill& fill) {
  const auto under = [](const Tone& tone) { return viewing_words(tone.light, tone.observer_deg); };
  if (fill.measured && fill.measured_de00) {
    const std::string de = de00_words(*fill.measured_de00), viewing = under(*fill.measured);
    const auto& sure = fill.measured_u95;
    const std::string on = fill.measured_on.empty() ? "the fill" : fill.measured_on;
    return {sure ? say(Sentence::front_read_sure, {{"de00", de},
                                                   {"on", on},
                                                   {"interval", interval((*sure)[0], (*sure)[1])},
                                                   {"viewing", viewing}})
                 : say(Sentence::front_read, {{"de00", de}, {"on", on}, {"viewing", viewing}}),
            fill.measured->screen};
  }
  if (!fill.tone || !fill.de00) return {say(Sentence::front_not_known), {}};
  const std::string de = de00_words(*fill.de00), viewing = under(*fill.tone);
  return {fill.u95_de00
              ? say(Sentence::front_predicted_sure,
                    {{"de00", de}, {"u95", number(*fill.u95_de00, 2)}, {"viewing", viewing}})
              : say(Sentence::front_predicted, {{"de00", de}, {"viewing", viewing}}),
          fill.tone->screen};
}

struct LossLine {
  std::string name, done;
  Cell near;
  std::optional<ScreenColour> sheet;
};

/// What became of one loss, in a line.
LossLine line_of(const Decision* decision, const std::string& name, std::size_t letters) {
  LossLine line{name, say(Sentence::front_no_choice), {"\u2013", {}}, {}};
  if (!decision) return line;
  if (!decision->chosen.empty()) {
    std::vector<std::string> done;
    for (const Fill* fill : decision->chosen) done.push_back(done_words(*fill));
    const Fill& last = *decision->chosen.back();
    line.done = shortened(joined(done, " "), letters);
    line.near = nearness(last);
    if (last.sheet) line.sheet = last.sheet->screen;
    return line;
  }
  if (decision->ending) {
    line.done = shortened(words_of(*decision->ending), letters);
    return line;
  }
  if (!decision->set_aside.empty())
    line.done = say(Sentence::front_no_choice_some_aside,
                    {{"count", std::to_string(decision->set_aside.size())}});
  else if (decision->nearest)
    line.done = shortened(
        say(Sentence::front_no_choice_nearest, {{"fill", fill_words(*decision->nearest)}}),
        letters);
  return line;
}

std::optional<Table> losses_table(const ReportContent& content, const Room& room) {
  const std::vector<Decision> all = decisions(content);
  std::vector<LossLine> lines;
  std::vector<std::string> told;
  const auto of = [&](const std::string& name) -> const Decision* {
    for (const Decision& decision : all)
      if (decision.loss == name) return &decision;
    return nullptr;
  };
  for (const Damage& damage : content.damages) {
    std::string name = damage.name;
    if (!damage.nature.empty() && name.find(damage.nature) == std::string::npos)
      name += " (" + damage.nature + ")";
    lines.push_back(line_of(of(damage.name), name, room.letters));
    told.push_back(damage.name);
  }
  for (const Decision& decision : all)
    if (std::find(told.begin(), told.end(), decision.loss) == told.end())
      lines.push_back(
          line_of(&decision, decision.loss.empty() ? "the fill" : decision.loss, room.letters));
  if (lines.empty()) return std::nullopt;
  Table table{say(Sentence::front_losses),
              {{"Loss or tear", Holds::text},
               {"What was done", Holds::text},
               {"Colour difference from the sheet", Holds::text}},
              {},
              room.set};
  for (LossLine& line : lines)
    table.rows.push_back(
        {{std::move(line.name), line.sheet}, {std::move(line.done), {}}, std::move(line.near)});
  return table;
}

/// Under the first light, the one of viewing; what changed most first.
std::vector<const Difference*> main_differences(const ReportContent& content) {
  std::vector<const Difference*> all;
  for (const Difference& d : content.differences)
    if (d.light == content.differences.front().light) all.push_back(&d);
  const auto rank = [](const Difference* d) {
    return d->verdict == "within" ? 2 : d->verdict == "undecided" ? 1 : 0;
  };
  std::stable_sort(all.begin(), all.end(), [&](const Difference* p, const Difference* q) {
    return rank(p) != rank(q) ? rank(p) < rank(q) : p->de00 > q->de00;
  });
  return all;
}

std::string figures_of(const Difference& d) {
  const std::string range = interval(d.low, d.high), de = de00_words(d.de00),
                    viewing = viewing_words(d.light, d.observer_deg);
  if (range.empty()) return say(Sentence::front_figures, {{"de00", de}, {"viewing", viewing}});
  return say(Sentence::front_figures_sure,
             {{"de00", de}, {"interval", range}, {"viewing", viewing}});
}

std::string change_words(const Difference& d) {
  const std::string change = d.verdict == "undecided" ? change_directions(d) : plain_change(d),
                    figures = figures_of(d), tolerance = number(d.tolerance, 1);
  if (d.tolerance && d.verdict == "beyond")
    return say(
        Sentence::front_changed_beyond,
        {{"spot", d.spot}, {"change", change}, {"figures", figures}, {"tolerance", tolerance}});
  if (d.tolerance && d.verdict == "undecided" && d.more_readings)
    return say(Sentence::front_changed_more, {{"spot", d.spot},
                                              {"change", change},
                                              {"figures", figures},
                                              {"tolerance", tolerance},
                                              {"more", more_readings_words(*d.more_readings)}});
  if (d.tolerance && d.verdict == "undecided")
    return say(
        Sentence::front_changed_undecided,
        {{"spot", d.spot}, {"change", change}, {"figures", figures}, {"tolerance", tolerance}});
  return say(Sentence::front_changed, {{"spot", d.spot}, {"change", change}, {"figures", figures}});
}

void add_changes(Blocks& blocks, const ReportContent& content, const Room& room) {
  const auto all = main_differences(content);
  Bullets bullets;
  bullets.set = room.set;
  std::vector<std::string> within, left_out;
  double largest = 0;
  for (const Difference* d : all) {
    if (d->verdict == "within") {
      within.push_back(d->spot);
      largest = std::max(largest, d->de00);
    } else if (bullets.items.size() < room.changes) {
      bullets.items.push_back(change_words(*d));
    } else {
      left_out.push_back(d->spot);
    }
  }
  if (!within.empty())
    bullets.items.push_back(
        say(Sentence::front_within,
            {{"tolerance", number(all.front()->tolerance, 1)},
             {"spots", some_of(within, 6)},
             {"de00", de00_words(largest)},
             {"viewing", viewing_words(all.front()->light, all.front()->observer_deg)}}));
  if (!left_out.empty())
    bullets.items.push_back(say(Sentence::front_changes_in_annex,
                                {{"spots", some_of(left_out, room.changes == 0 ? 3 : 6)}}));
  if (!bullets.items.empty()) blocks.emplace_back(std::move(bullets));
  add(blocks, change_strip(content, room.strip));
}

Blocks unknowns(const ReportContent& content, const Room& room) {
  std::vector<std::string> all = not_known(content);
  if (all.empty()) return {};
  const std::size_t shown = std::min(all.size(), room.unknowns);
  const std::size_t more = all.size() - shown;
  all.resize(shown);
  for (std::string& one : all) one = shortened(one, room.letters);
  if (more > 0) all.push_back(say(Sentence::front_more_unknown, {{"count", std::to_string(more)}}));
  return {Bullets{std::move(all), room.set}};
}

}  // namespace

Blocks front_page(const ReportContent& content, Detail detail) {
  const Room room = room_for(detail);
  Blocks blocks;
  const Facts facts = object_facts(content, room.letters);
  if (!facts.lines.empty()) blocks.emplace_back(facts);
  add(blocks, front_figure(content, room.picture_pt));
  Blocks losses;
  add(losses, losses_table(content, room));
  section(blocks, 2, "What was done, and how near it came", std::move(losses));
  Blocks changes;
  add_changes(changes, content, room);
  section(blocks, 2, "What else changed", std::move(changes));
  section(blocks, 2, "What is not known", unknowns(content, room));
  blocks.emplace_back(Signature{content.record_head});
  return blocks;
}

}  // namespace mendtone::report
