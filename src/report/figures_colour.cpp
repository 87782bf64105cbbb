#include <algorithm>

#include "report/figures.hpp"
#include "report/plot.hpp"
#include "report/words.hpp"

namespace mendtone::report {
namespace {

constexpr const char* screen_note =
    "Colours are converted to sRGB through ICC, adapted to the screen's white. They show the "
    "direction of a difference; a screen or a print is no proof of a match.";
constexpr const char* outside_note =
    " Hatched: outside what sRGB can show, or no colour known; the figures hold, the patch does "
    "not.";

bool needs_hatching(const std::optional<ScreenColour>& colour) {
  return !colour || colour->outside;
}

constexpr double cell_width = 236, cell_gap = 11, patch_width = 112, patch_height = 56;

/// One of the two patches of a spot, and what is written below it.
void draw_stage(Pen& pen, Point corner, const Reading& reading, const Outline& outline) {
  pen.shape(fitted(outline, corner, patch_width, patch_height), patch_style(reading.tone.screen));
  const Point middle{corner.x + patch_width / 2, corner.y + patch_height + 12};
  pen.text(middle, folded(capital(reading.stage), patch_width + 4, 8.5, 1).front(), 8.5,
           Anchor::middle, Face::sans_bold);
  pen.text({middle.x, middle.y + 11}, lab_words(reading.tone.lab, 1), label_pt, Anchor::middle);
}

const Difference* difference_of(const ReportContent& content, const Compared& pair) {
  for (const Difference& d : content.differences)
    if (d.spot == pair.from->spot && d.from_stage == pair.from->stage &&
        d.to_stage == pair.to->stage)
      return &d;
  return nullptr;
}

std::string difference_line(const Difference& d) {
  const std::string range = interval(d.low, d.high);
  return de00_words(d.de00) + (range.empty() ? "" : " (95 %: " + range + ")") + ", " +
         viewing_words(d.light, d.observer_deg);
}

void draw_pair(Pen& pen, Point corner, const ReportContent& content, const Compared& pair) {
  const Spot* spot = spot_named(content, pair.from->spot);
  pen.text({corner.x, corner.y + 9}, folded(pair.from->spot, cell_width, 9.5, 1).front(), 9.5,
           Anchor::start, Face::sans_bold);
  if (spot && !spot->place.empty())
    pen.text({corner.x, corner.y + 20}, folded(spot->place, cell_width, label_pt, 1).front(),
             label_pt, Anchor::start, Face::sans_italic, dark);
  const Outline outline = spot ? spot->outline : Outline{};
  draw_stage(pen, {corner.x, corner.y + 28}, *pair.from, outline);
  draw_stage(pen, {corner.x + cell_width - patch_width - 8, corner.y + 28}, *pair.to, outline);
  if (const Difference* d = difference_of(content, pair))
    pen.text({corner.x + (cell_width - 8) / 2, corner.y + 28 + patch_height + 37},
             difference_line(*d), 8.5, Anchor::middle);
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
  lines.push_back({"Fill", lab_words(fill.tone->lab, 1)});
  lines.push_back({"Seen under", viewing_words(fill.tone->light, fill.tone->observer_deg)});
  if (fill.de00) {
    const std::string u = fill.u95_de00 ? " \u00b1 " + number(*fill.u95_de00, 2) + " (95 %)" : "";
    lines.push_back({de00_sign, number(*fill.de00, 2) + u});
  }
  if (fill.dL && fill.da && fill.db)
    lines.push_back({"Fill less sheet", "L* " + signed_number(*fill.dL, 1) + "  a* " +
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

void draw_on_ground(Pen& pen, Point corner, double width, double height, const Fill& fill,
                    double margin) {
  Path ground = patch_style(fill.sheet ? fill.sheet->screen : std::nullopt);
  ground.stroke_pt = 0;
  pen.box(corner, width, height, ground);
  // The dots mark an edge that a good match would hide.
  Path inside = patch_style(fill.tone->screen);
  inside.dash_pt = {0.8, 3};
  inside.stroke_pt = 0.5;
  pen.shape(fitted(fill.outline, {corner.x + margin, corner.y + margin}, width - 2 * margin,
                   height - 2 * margin),
            inside);
}

std::string outline_note(bool recorded) {
  return recorded ? "" : " No outline is recorded; a disc stands for it.";
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

std::optional<Figure> before_and_after(const ReportContent& content) {
  std::vector<Compared> pairs = first_and_last(content);
  std::erase_if(pairs, [](const Compared& pair) { return !pair.to; });
  if (pairs.empty()) return std::nullopt;
  constexpr std::size_t most = 6;
  const std::size_t shown = std::min(pairs.size(), most);
  Figure figure;
  bool outlines = true, hatched = false;
  for (std::size_t i = 0; i < shown; ++i) {
    if (i % 2 == 0) figure.rows.push_back({{text_width_pt, 28 + patch_height + 43, {}}, {}});
    Pen pen(figure.rows.back().drawing);
    draw_pair(pen, {static_cast<double>(i % 2) * (cell_width + cell_gap), 0}, content, pairs[i]);
    const Spot* spot = spot_named(content, pairs[i].from->spot);
    outlines = outlines && spot && spot->outline.points.size() >= 3;
    hatched = hatched || needs_hatching(pairs[i].from->tone.screen) ||
              needs_hatching(pairs[i].to->tone.screen);
    figure.rows.back().alt += pair_words(pairs[i]) + ". ";
  }
  figure.caption = std::string("The spots before and after") +
                   (outlines ? ", each in its own outline. "
                             : ". A disc stands where no outline is recorded. ") +
                   screen_note + (hatched ? outside_note : "");
  if (pairs.size() > shown)
    figure.caption +=
        " " + std::to_string(pairs.size() - shown) + " more spots are in the table of readings.";
  return figure;
}

std::optional<Figure> fill_in_place(const Fill& fill) {
  if (!fill.tone) return std::nullopt;
  Figure figure{{FigureRow{}}, {}};
  auto& [drawing, alt] = figure.rows.front();
  const std::vector<Line> lines = fill_lines(fill);
  constexpr double ground_width = 226, line_height = 12.5;
  const double height = std::max(110.0, line_height * static_cast<double>(lines.size()));
  drawing.width = text_width_pt;
  drawing.height = height + 2;
  Pen pen(drawing);
  draw_on_ground(pen, {0, 0}, ground_width, height, fill, 22);
  double y = 9;
  for (const Line& line : lines) {
    pen.text({ground_width + 18, y}, line.name, 8.5, Anchor::start, Face::sans_bold);
    pen.text({ground_width + 104, y}, folded(line.value, 150, 8.5, 1).front(), 8.5);
    alt += line.name + ": " + line.value + ". ";
    y += line_height;
  }
  figure.caption = capital(fill_words(fill)) + ", set into the outline of the " +
                   (fill.use.empty() ? "loss" : fill.use) + " on the sheet's own tone." +
                   outline_note(fill.outline.points.size() >= 3) + " " + screen_note;
  if (needs_hatching(fill.tone->screen) || !fill.sheet || needs_hatching(fill.sheet->screen))
    figure.caption += outside_note;
  return figure;
}

std::optional<Figure> fill_strip(const ReportContent& content, std::size_t most) {
  const std::vector<const Fill*> fills = best_fills(content, most);
  if (fills.size() < 2) return std::nullopt;
  Figure figure{{FigureRow{}}, {}};
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
  figure.caption = "Fills considered, on the sheet's tone, under " +
                   viewing_words(fills[0]->tone->light, fills[0]->tone->observer_deg) +
                   ", as far as a screen or a print can show them.";
  return figure;
}

Figure picture_figure(const ReportContent& content, std::size_t index) {
  const Picture& picture = content.pictures[index];
  Figure figure{{FigureRow{}}, {}};
  auto& [drawing, alt] = figure.rows.front();
  const double pixel_width = std::max(1, picture.width_px),
               pixel_height = std::max(1, picture.height_px);
  const double highest = picture.kind == "sheet" ? 330 : 278;  // two of the others on a page
  const double scale = std::min(text_width_pt / pixel_width, highest / pixel_height);
  drawing.width = text_width_pt;
  drawing.height = scale * pixel_height;
  const double left = (text_width_pt - scale * pixel_width) / 2;
  Pen pen(drawing);
  pen.picture({left, 0}, scale * pixel_width, scale * pixel_height, index);
  std::vector<std::string> marked;
  for (const Spot& spot : content.spots) {
    if (spot.picture != index || spot.outline.points.size() < 3) continue;
    std::vector<Point> points;
    Point middle;
    for (const auto& p : spot.outline.points) {
      points.push_back({left + scale * p[0], scale * p[1]});
      middle.x += points.back().x / static_cast<double>(spot.outline.points.size());
      middle.y += points.back().y / static_cast<double>(spot.outline.points.size());
    }
    Path halo, rim;
    halo.stroke = paper;
    halo.stroke_pt = 2.6;
    rim.stroke = black;
    rim.stroke_pt = 0.9;
    pen.shape(points, halo);
    pen.shape(points, rim);
    const double label_width = estimated_width(spot.name, label_pt) + 6;
    double lowest = 0;
    for (const Point& p : points) lowest = std::max(lowest, p.y);
    const double label_x = std::clamp(middle.x - label_width / 2, 0.0, text_width_pt - label_width);
    const double label_y = std::min(lowest + 3, drawing.height - 12);
    Path plate;
    plate.fill = paper;
    plate.stroke = black;
    plate.stroke_pt = 0.4;
    pen.box({label_x, label_y}, label_width, 11, plate);
    pen.text({label_x + label_width / 2, label_y + 8.2}, spot.name, label_pt, Anchor::middle);
    marked.push_back(spot.name);
  }
  figure.caption = joined({sentence(picture.title), sentence(picture.caption),
                           picture.origin.empty() ? "" : "File: " + picture.origin + "."},
                          " ");
  alt = picture.alt.empty() ? picture.title : picture.alt;
  if (!marked.empty()) alt += " Marked on it: " + joined(marked, ", ") + ".";
  return figure;
}

}  // namespace mendtone::report
