#include <algorithm>
#include <cmath>

#include "mendtone/report/sentences.hpp"
#include "report/figures.hpp"
#include "report/plot.hpp"
#include "report/words.hpp"

namespace mendtone::report {
namespace {

bool needs_hatching(const std::optional<ScreenColour>& colour) {
  return !colour || colour->outside;
}

const Difference* difference_of(const ReportContent& content, const Compared& pair) {
  for (const Difference& d : content.differences)
    if (d.spot == pair.from->spot && d.from_stage == pair.from->stage &&
        d.to_stage == pair.to->stage)
      return &d;
  return nullptr;
}

constexpr std::size_t pairs_a_row = 6;
constexpr double pair_gap = 9, pair_height = 20,
                 pair_width = (text_width_pt - pair_gap * (pairs_a_row - 1)) / pairs_a_row;

/// Before and after edge to edge, as the eye compares best; what they are below.
void draw_pair(Pen& pen, Point corner, const ReportContent& content, const Compared& pair) {
  const double half = pair_width / 2;
  // No line between the two: it would hide a small difference.
  const auto halve = [&](double x, const Reading& reading) {
    Path style = patch_style(reading.tone.screen);
    style.stroke_pt = 0;
    pen.box({x, corner.y}, half, pair_height, style);
  };
  halve(corner.x, *pair.from);
  halve(corner.x + half, *pair.to);
  Path frame;
  frame.stroke = mid;
  frame.stroke_pt = 0.5;
  pen.box(corner, pair_width, pair_height, frame);
  pen.text({corner.x, corner.y + pair_height + 9},
           folded(pair.from->spot, pair_width, label_pt, 1).front(), label_pt, Anchor::start,
           Face::sans_bold);
  if (const Difference* d = difference_of(content, pair))
    pen.text({corner.x, corner.y + pair_height + 19}, de00_words(d->de00), label_pt);
}

std::string pair_words(const Compared& pair) {
  return pair.from->spot + ": " + pair.from->stage + " " + lab_words(pair.from->tone.lab, 1) +
         ", " + pair.to->stage + " " + lab_words(pair.to->tone.lab, 1);
}

struct Line {
  std::string name, value;
};

std::vector<Line> fill_lines(const Fill& fill) {
  std::vector<Line> lines;
  if (fill.sheet) lines.push_back({"Sheet", lab_words(fill.sheet->lab, 1)});
  if (fill.aim) lines.push_back({"Aim", lab_words(fill.aim->lab, 1)});
  if (fill.measured)
    lines.push_back({"Read", lab_words(fill.measured->lab, 1) +
                                 (fill.measured_de00
                                      ? ", " + de00_words(*fill.measured_de00) + " from the sheet"
                                      : "")});
  lines.push_back({"Predicted", lab_words(fill.tone->lab, 1)});
  lines.push_back({"Seen under", viewing_words(fill.tone->light, fill.tone->observer_deg)});
  if (fill.de00) {
    const std::string u = fill.u95_de00 ? " \u00b1 " + number(*fill.u95_de00, 2) + " (95 %)" : "";
    lines.push_back({std::string("Predicted ") + de00_sign, number(*fill.de00, 2) + u});
  }
  if (fill.dL && fill.da && fill.db)
    lines.push_back({"Predicted less sheet", "L* " + signed_number(*fill.dL, 1) + "  a* " +
                                                 signed_number(*fill.da, 1) + "  b* " +
                                                 signed_number(*fill.db, 1)});
  if (fill.worst_de00)
    lines.push_back({"Worst lamp", de00_words(*fill.worst_de00) + " under " + fill.worst_light});
  if (fill.overlap_de00) lines.push_back({"At the overlap", de00_words(*fill.overlap_de00)});
  if (fill.transmitted && fill.transmitted->known && fill.transmitted->dL)
    lines.push_back({"On the light sheet", "L* " + signed_number(*fill.transmitted->dL, 1)});
  if (fill.transmitted && !fill.transmitted->known)
    lines.push_back({"On the light sheet", "not known"});
  if (fill.weight_g_m2)
    lines.push_back({"Weight, all plies", number(*fill.weight_g_m2, 1) + " g/m\u00b2"});
  if (!fill.over.empty()) lines.push_back({"Over", fill.over});
  return lines;
}

/// As it was read, else as it was predicted.
const Tone& seen_tone(const Fill& fill) {
  return fill.measured ? *fill.measured : *fill.tone;
}

void draw_on_ground(Pen& pen, Point corner, double width, double height, const Fill& fill,
                    double margin) {
  Path ground = patch_style(fill.sheet ? fill.sheet->screen : std::nullopt);
  ground.stroke_pt = 0;
  pen.box(corner, width, height, ground);
  // The dots mark an edge that a good match would hide.
  Path inside = patch_style(seen_tone(fill).screen);
  inside.dash_pt = {0.8, 3};
  inside.stroke_pt = 0.5;
  pen.shape(fitted(fill.outline, {corner.x + margin, corner.y + margin}, width - 2 * margin,
                   height - 2 * margin),
            inside);
}

/// Letters that can be read on that colour.
Ink ink_on(const std::optional<ScreenColour>& colour) {
  if (!colour) return black;
  return 0.299 * colour->r + 0.587 * colour->g + 0.114 * colour->b < 120 ? paper : black;
}

void add_words(std::string& text, const std::string& more) {
  if (!more.empty() && text.find(more) == std::string::npos) text += " " + more;
}

/// What a picture's colours are good for, where its caption says so.
std::string mark_of(const Picture& picture) {
  const auto at = picture.caption.find("Colours: ");
  return at == std::string::npos ? std::string() : picture.caption.substr(at);
}

struct Marked {
  const Spot* spot;
  Point right;  ///< its outline's rightmost point, in pixels of the picture
};

/// From top to bottom, so that lines to their names do not cross.
std::vector<Marked> marked_on(const ReportContent& content, std::size_t picture) {
  std::vector<Marked> all;
  for (const Spot& spot : content.spots) {
    if (spot.picture != picture || spot.outline.points.size() < 3) continue;
    Marked one{&spot, {-1e9, 0}};
    for (const auto& p : spot.outline.points)
      if (p[0] > one.right.x) one.right = {p[0], p[1]};
    all.push_back(one);
  }
  std::sort(all.begin(), all.end(),
            [](const Marked& p, const Marked& q) { return p.right.y < q.right.y; });
  return all;
}

/// 1, 2 or 5 times a power of ten, not above `value`.
double round_down(double value) {
  const double power = std::pow(10, std::floor(std::log10(value)));
  for (const double step : {5.0, 2.0, 1.0})
    if (step * power <= value * (1 + 1e-9)) return step * power;
  return power;
}

/// What the colours of a map mean, at its right, and its scale bar below; the lowest point.
double draw_map_scale(Pen& pen, Point corner, const Picture& picture, double scale) {
  const double width = scale * picture.width_px, height = scale * picture.height_px;
  const MapScale& means = *picture.scale;
  const double x = corner.x + width + 7, bar_height = std::min(height, 90.0);
  pen.picture({x, corner.y}, 7, bar_height, means.bar);
  const bool both_ways = means.low < 0;
  const auto end = [&](double value, const std::string& word, const char* beyond) {
    return joined({beyond + number(value, 1), word}, " ");
  };
  pen.text({x + 10, corner.y + 6}, end(means.high, means.high_word, "\u2265 "), 7.4);
  if (both_ways) pen.text({x + 10, corner.y + bar_height / 2 + 2.5}, "0", 7.4);
  pen.text({x + 10, corner.y + bar_height},
           both_ways ? end(means.low, means.low_word, "\u2264 ") : number(means.low, 1), 7.4);
  const double bottom = corner.y + height;
  if (!picture.px_per_mm) return bottom;
  const double a_mm = scale * *picture.px_per_mm;
  const double length_mm = round_down(width / 3 / a_mm);
  pen.whisker({corner.x, bottom + 8}, {corner.x + length_mm * a_mm, bottom + 8});
  pen.text({corner.x + length_mm * a_mm + 5, bottom + 10.5},
           length_mm >= 10 ? number(length_mm / 10, 0) + " cm" : number(length_mm, 0) + " mm", 7.4);
  return bottom + 12;
}

std::vector<const Fill*> best_fills(const ReportContent& content, std::size_t most) {
  std::vector<const Fill*> all;
  for (const Fill& fill : content.fills)
    if (fill.tone) all.push_back(&fill);  // what was never computed cannot be drawn
  std::stable_sort(all.begin(), all.end(),
                   [](const Fill* a, const Fill* b) { return a->chosen && !b->chosen; });
  if (all.size() > most) all.resize(most);
  return all;
}

}  // namespace

const Spot* spot_named(const ReportContent& content, std::string_view name) {
  for (const Spot& spot : content.spots)
    if (spot.name == name) return &spot;
  return nullptr;
}

Compared compared(const ReportContent& content, const Difference& difference) {
  Compared pair;
  for (const Reading& reading : content.readings) {
    if (reading.spot != difference.spot || reading.tone.light != difference.light) continue;
    if (reading.stage == difference.from_stage) pair.from = &reading;
    if (reading.stage == difference.to_stage) pair.to = &reading;
  }
  return pair;
}

std::vector<Compared> first_and_last(const ReportContent& content) {
  std::vector<Compared> pairs;
  for (const Reading& reading : content.readings) {
    const auto known = std::find_if(pairs.begin(), pairs.end(), [&](const Compared& pair) {
      return pair.from->spot == reading.spot;
    });
    if (known == pairs.end())
      pairs.push_back({&reading, nullptr});
    else if (known->from->tone.light == reading.tone.light &&
             known->from->backing == reading.backing && known->from->stage != reading.stage)
      known->to = &reading;
  }
  return pairs;
}

std::optional<Figure> change_strip(const ReportContent& content, std::size_t most) {
  std::vector<Compared> pairs = first_and_last(content);
  std::erase_if(pairs, [](const Compared& pair) { return !pair.to; });
  if (pairs.empty() || most == 0) return std::nullopt;
  // Where more changed, more is to be seen.
  std::stable_sort(pairs.begin(), pairs.end(), [&](const Compared& p, const Compared& q) {
    const Difference *dp = difference_of(content, p), *dq = difference_of(content, q);
    return (dp ? dp->de00 : 0) > (dq ? dq->de00 : 0);
  });
  const std::size_t shown = std::min({pairs.size(), pairs_a_row, most});
  Figure figure{{FigureRow{}}, {}, true};
  auto& [drawing, alt] = figure.rows.front();
  drawing.width = text_width_pt;
  drawing.height = pair_height + 22;
  Pen pen(drawing);
  bool hatched = false;
  for (std::size_t i = 0; i < shown; ++i) {
    draw_pair(pen, {static_cast<double>(i) * (pair_width + pair_gap), 0}, content, pairs[i]);
    hatched = hatched || needs_hatching(pairs[i].from->tone.screen) ||
              needs_hatching(pairs[i].to->tone.screen);
    alt += pair_words(pairs[i]) + ". ";
  }
  const bool alike = std::all_of(pairs.begin(), pairs.end(), [&](const Compared& pair) {
    return pair.from->stage == pairs.front().from->stage &&
           pair.to->stage == pairs.front().to->stage;
  });
  const Tone& seen = pairs.front().from->tone;
  const std::string viewing = viewing_words(seen.light, seen.observer_deg);
  std::vector<std::string> said{
      alike ? say(Sentence::strip_stages, {{"from", pairs.front().from->stage},
                                           {"to", pairs.front().to->stage},
                                           {"viewing", viewing}})
            : say(Sentence::strip_first_last, {{"viewing", viewing}}),
      say(Sentence::no_proof)};
  if (hatched) said.push_back(say(Sentence::hatched));
  const std::size_t more = pairs.size() - shown;
  if (more == 1) said.push_back(say(Sentence::strip_one_more));
  if (more > 1) said.push_back(say(Sentence::strip_more, {{"count", std::to_string(more)}}));
  figure.caption = joined(said, " ");
  return figure;
}

std::vector<std::size_t> front_pictures(const ReportContent& content) {
  std::vector<std::size_t> plain;
  for (std::size_t i = 0; i < content.pictures.size(); ++i) {
    const Picture& picture = content.pictures[i];
    if (picture.kind != "change" && picture.kind != "scale" &&
        (picture.lighting.empty() || picture.lighting == "even"))
      plain.push_back(i);
  }
  if (plain.size() > 2) plain = {plain.front(), plain.back()};
  return plain;
}

std::optional<Figure> front_figure(const ReportContent& content, double highest) {
  const std::vector<std::size_t> shown = front_pictures(content);
  if (shown.empty() || highest <= 0) return std::nullopt;
  Figure figure{{FigureRow{}}, {}, true};
  auto& [drawing, alt] = figure.rows.front();
  drawing.width = text_width_pt;
  Pen pen(drawing);
  constexpr double gap = 11, widest = (text_width_pt - gap) / 2;
  double x = 0;
  for (const std::size_t i : shown) {
    const Picture& picture = content.pictures[i];
    const double width_px = std::max(1, picture.width_px),
                 height_px = std::max(1, picture.height_px);
    const double scale = std::min(widest / width_px, highest / height_px);
    pen.picture({x, 0}, scale * width_px, scale * height_px, i);
    const std::string name = capital(joined({picture.title, picture.lighting}, ", "));
    pen.text({x, scale * height_px + 11}, folded(name, widest, label_pt, 1).front(), label_pt,
             Anchor::start, Face::sans_bold);
    drawing.height = std::max(drawing.height, scale * height_px + 14);
    alt += sentence(picture.alt.empty() ? picture.title : picture.alt) + " ";
    x += widest + gap;
  }
  figure.caption =
      say(shown.size() == 2 ? Sentence::front_two_photographs : Sentence::front_one_photograph);
  for (const std::size_t i : shown) add_words(figure.caption, mark_of(content.pictures[i]));
  return figure;
}

std::optional<Figure> fill_in_place(const Fill& fill) {
  if (!fill.tone) return std::nullopt;
  Figure figure{{FigureRow{}}, {}};
  auto& [drawing, alt] = figure.rows.front();
  const std::vector<Line> lines = fill_lines(fill);
  constexpr double ground_width = 150, line_height = 11.5;
  const double height = std::max(64.0, line_height * static_cast<double>(lines.size()));
  drawing.width = text_width_pt;
  drawing.height = height + 2;
  Pen pen(drawing);
  draw_on_ground(pen, {0, 0}, ground_width, height, fill, 14);
  if (fill.aim && fill.measured) {  // the aim, beside both
    Path aim = patch_style(fill.aim->screen);
    aim.stroke_pt = 0;
    pen.box({0, height - 12}, ground_width, 12, aim);
    pen.text({4, height - 3.2}, "aim", 7.4, Anchor::start, Face::sans, ink_on(fill.aim->screen));
  }
  double y = 9;
  for (const Line& line : lines) {
    pen.text({ground_width + 14, y}, line.name, label_pt, Anchor::start, Face::sans_bold);
    pen.text({ground_width + 108, y}, folded(line.value, 224, label_pt, 1).front(), label_pt);
    alt += line.name + ": " + line.value + ". ";
    y += line_height;
  }
  std::vector<std::string> said{
      say(fill.measured ? Sentence::fill_as_read : Sentence::fill_as_predicted,
          {{"fill", capital(fill_words(fill))}, {"use", fill.use.empty() ? "loss" : fill.use}})};
  if (fill.outline.points.size() < 3) said.push_back(say(Sentence::no_outline));
  said.push_back(say(Sentence::no_proof));
  if (needs_hatching(seen_tone(fill).screen) || !fill.sheet || needs_hatching(fill.sheet->screen))
    said.push_back(say(Sentence::hatched));
  figure.caption = joined(said, " ");
  return figure;
}

std::optional<Figure> fill_strip(const ReportContent& content, std::size_t most) {
  const std::vector<const Fill*> fills = best_fills(content, most);
  if (fills.size() < 2) return std::nullopt;
  Figure figure{{FigureRow{}}, {}, true};
  auto& [drawing, alt] = figure.rows.front();
  constexpr double gap = 9, side = 62;
  const double width =
      (text_width_pt - gap * static_cast<double>(most - 1)) / static_cast<double>(most);
  drawing.width = text_width_pt;
  Pen pen(drawing);
  double x = 0;
  for (const Fill* fill : fills) {
    draw_on_ground(pen, {x, 0}, width, side, *fill, 11);
    const auto name = folded(fill_words(*fill), width, label_pt, 3);
    double y = pen.lines({x, side + 11}, name, label_pt, Anchor::start, Face::sans_bold);
    if (fill->de00) pen.text({x, y}, de00_words(*fill->de00), label_pt);
    alt += fill_words(*fill) + ", colour difference " + number(fill->de00, 2) + ". ";
    drawing.height = std::max(drawing.height, y + 4);
    x += width + gap;
  }
  figure.caption =
      say(Sentence::fills_strip,
          {{"viewing", viewing_words(fills[0]->tone->light, fills[0]->tone->observer_deg)}});
  return figure;
}

Figure picture_figure(const ReportContent& content, std::size_t index) {
  const Picture& picture = content.pictures[index];
  Figure figure{{FigureRow{}}, {}};
  auto& [drawing, alt] = figure.rows.front();
  const std::vector<Marked> marked = marked_on(content, index);
  const double width_px = std::max(1, picture.width_px), height_px = std::max(1, picture.height_px);
  // Names stand outside the picture, so that they hide nothing and stay as large as other text.
  const double room = marked.empty() ? 0 : 152;
  const double scale =
      std::min((text_width_pt - room) * (marked.empty() ? 0.62 : 1) / width_px, 165 / height_px);
  const double width = scale * width_px, height = scale * height_px;
  drawing.width = text_width_pt;
  drawing.height = height;
  Pen pen(drawing);
  pen.picture({0, 0}, width, height, index);
  double y = 0;
  std::vector<std::string> names;
  for (const Marked& one : marked) {
    std::vector<Point> points;
    for (const auto& p : one.spot->outline.points) points.push_back({scale * p[0], scale * p[1]});
    Path halo, rim;
    halo.stroke = paper;
    halo.stroke_pt = 2.6;
    rim.stroke = black;
    rim.stroke_pt = 0.9;
    pen.shape(points, halo);
    pen.shape(points, rim);
    const Point from{scale * one.right.x, scale * one.right.y};
    y = std::max(y, std::min(from.y - 8, height - 22 * static_cast<double>(marked.size())));
    pen.line(from, {width + 8, y + 7}, 0.4, dark);
    pen.text({width + 11, y + 9}, folded(one.spot->name, room - 12, label_pt, 1).front(), label_pt,
             Anchor::start, Face::sans_bold);
    pen.text({width + 11, y + 18}, folded(one.spot->place, room - 12, 7.4, 1).front(), 7.4,
             Anchor::start, Face::sans, dark);
    y += 22;
    names.push_back(one.spot->name);
  }
  drawing.height = std::max(height, y);
  figure.caption =
      joined({sentence(joined({picture.title, picture.lighting}, ", ")), sentence(picture.caption),
              picture.origin.empty() ? "" : say(Sentence::file, {{"name", picture.origin}})},
             " ");
  alt = picture.alt.empty() ? picture.title : picture.alt;
  if (!names.empty()) alt += " " + say(Sentence::marked_on, {{"names", joined(names, ", ")}});
  return figure;
}

std::optional<Figure> change_maps(const ReportContent& content) {
  std::vector<std::size_t> maps;
  for (std::size_t i = 0; i < content.pictures.size(); ++i)
    if (content.pictures[i].kind == "change") maps.push_back(i);
  if (maps.empty()) return std::nullopt;
  Figure figure;
  std::vector<std::string> captions;
  for (std::size_t k = 0; k < maps.size(); ++k) {
    const Picture& picture = content.pictures[maps[k]];
    // A map that was kept with its lettering is shown alone and large, so that it can be read.
    const bool bare = picture.scale.has_value();
    const std::size_t column = bare ? k % 2 : 0;
    if (column == 0) figure.rows.push_back({{text_width_pt, 0, {}}, {}});
    auto& [drawing, alt] = figure.rows.back();
    Pen pen(drawing);
    const double width_px = std::max(1, picture.width_px),
                 height_px = std::max(1, picture.height_px);
    const double widest = bare ? 165 : text_width_pt, highest = bare ? 150 : 400;
    const double scale = std::min(widest / width_px, highest / height_px);
    const Point corner{column == 0 ? 0 : 246.0, 12};
    pen.text({corner.x, 8}, picture.title, label_pt, Anchor::start, Face::sans_bold);
    pen.picture(corner, scale * width_px, scale * height_px, maps[k]);
    double lowest = corner.y + scale * height_px;
    if (bare) lowest = draw_map_scale(pen, corner, picture, scale);
    drawing.height = std::max(drawing.height, lowest + 8);
    alt += sentence(picture.alt) + " ";
    add_new(captions, {picture.caption});
  }
  figure.caption = joined(captions, " ");
  return figure;
}

}  // namespace mendtone::report
