#include <algorithm>
#include <cmath>

#include "mendtone/report/sentences.hpp"
#include "report/figures.hpp"
#include "report/plot.hpp"
#include "report/words.hpp"

namespace mendtone::report {
namespace {

const std::vector<std::vector<double>> dashes = {{}, {4, 2.2}, {1.4, 1.8}, {7, 2, 1.4, 2}};

constexpr std::size_t most_panels = 24;

/// How panels stand beside each other.
struct Panels {
  std::size_t a_row;
  double step, height;
};
constexpr Panels region_panels{4, 121, 108}, spectrum_panels{4, 121, 136};

/// Panels in rows; `draw(row, pen, corner, i)` draws panel i. Nothing where there are none.
template <class Draw>
std::optional<Figure> in_panels(std::size_t count, const Panels& panels, std::string caption,
                                const Draw& draw) {
  if (count == 0) return std::nullopt;
  const std::size_t shown = std::min(count, most_panels);
  Figure figure;
  for (std::size_t i = 0; i < shown; ++i) {
    const std::size_t column = i % panels.a_row;
    if (column == 0) figure.rows.push_back({{text_width_pt, panels.height, {}}, {}});
    Pen pen(figure.rows.back().drawing);
    draw(figure.rows.back(), pen, Point{static_cast<double>(column) * panels.step, 0}, i);
  }
  figure.caption = std::move(caption);
  if (shown < count)
    figure.caption += " " + say(Sentence::panels_shown, {{"shown", std::to_string(shown)},
                                                         {"count", std::to_string(count)}});
  return figure;
}

// ---- change on one scale ----

std::vector<const Difference*> scale_rows(const ReportContent& content) {
  std::vector<const Difference*> rows;
  constexpr std::size_t most = 26;
  for (const Difference& d : content.differences) rows.push_back(&d);
  if (rows.size() > most) {
    const std::string first_light = rows.front()->light;
    std::erase_if(rows, [&](const Difference* d) { return d->light != first_light; });
  }
  if (rows.size() > most) rows.resize(most);
  return rows;
}

bool one_light(const std::vector<const Difference*>& rows) {
  return std::all_of(rows.begin(), rows.end(), [&](const Difference* d) {
    return d->light == rows.front()->light && d->observer_deg == rows.front()->observer_deg;
  });
}

std::optional<double> common_tolerance(const std::vector<const Difference*>& rows) {
  for (const Difference* d : rows)
    if (!d->tolerance || d->tolerance != rows.front()->tolerance) return std::nullopt;
  return rows.front()->tolerance;
}

std::string row_label(const Difference& d, bool with_light) {
  std::string label = d.spot;
  if (!d.to_stage.empty()) label += ", " + d.to_stage;
  if (with_light) label += ", " + d.light;
  return label;
}

// ---- regions ----

struct Square {
  Axis a, b, L;
};

/// Axes of one span, so that a unit is as long on each.
Square square_about(const Lab& centre, double half_span) {
  const Axis rounded = axis_for(0, 2 * half_span, 3);
  const auto about = [&](double value) {
    return Axis{value - half_span, value + half_span, rounded.step, rounded.decimals};
  };
  return {about(centre.a), about(centre.b), about(centre.L)};
}

double reach(const Reading& reading, const Lab& centre) {
  const Lab& lab = reading.tone.lab;
  const double ab = reading.region ? reading.region->ab_major : 0;
  const double L = reading.region ? reading.region->L_half : 0;
  return std::max({std::abs(lab.a - centre.a) + ab, std::abs(lab.b - centre.b) + ab,
                   std::abs(lab.L - centre.L) + L});
}

Lab centre_of(const Compared& pair) {
  const Lab& p = pair.from->tone.lab;
  if (!pair.to) return p;
  const Lab& q = pair.to->tone.lab;
  return {(p.L + q.L) / 2, (p.a + q.a) / 2, (p.b + q.b) / 2};
}

void draw_ab(Pen& pen, const Frame& frame, const Reading& reading, bool first) {
  const Lab& lab = reading.tone.lab;
  const Point at = frame.at(lab.a, lab.b);
  if (reading.region) {
    const double scale = frame.width / (frame.x.last - frame.x.first);
    pen.ellipse(at, scale * reading.region->ab_major, scale * reading.region->ab_minor,
                reading.region->ab_angle_deg, 0.8,
                first ? std::vector<double>{3, 2} : std::vector<double>{});
  }
  pen.dot(at, 2.5, !first);
}

void draw_L(Pen& pen, const Frame& frame, const Reading& reading, bool first) {
  const double x = first ? 0.3 : 0.7;
  const double L = reading.tone.lab.L;
  if (reading.region)
    pen.whisker(frame.at(x, L - reading.region->L_half), frame.at(x, L + reading.region->L_half));
  pen.dot(frame.at(x, L), 2.5, !first);
}

void draw_region_panel(Pen& pen, Point corner, const Compared& pair) {
  double half_span = 0.2;
  for (const Reading* reading : {pair.from, pair.to})
    if (reading) half_span = std::max(half_span, 1.25 * reach(*reading, centre_of(pair)));
  const Square axes = square_about(centre_of(pair), half_span);
  pen.text({corner.x, corner.y + 9}, folded(pair.from->spot, 112, label_pt, 1).front(), label_pt,
           Anchor::start, Face::sans_bold);
  constexpr double side = 57;
  const Frame ab{{corner.x + 27, corner.y + 14}, side, side, axes.a, axes.b};
  draw_frame(pen, ab, "a*", "b*");
  const Frame strip{{corner.x + 27 + side + 23, corner.y + 14}, 11, side, {0, 1, 2, 0}, axes.L};
  for (const double value : axes.L.ticks()) {
    const double y = strip.at(0, value).y;
    pen.line({strip.corner.x, y}, {strip.corner.x + strip.width, y}, 0.3, pale);
    pen.text({strip.corner.x - 4, y + 2.6}, number(value, axes.L.decimals), label_pt, Anchor::end);
  }
  pen.line(strip.corner, {strip.corner.x, strip.corner.y + side}, 0.6, black);
  pen.text({strip.corner.x + strip.width / 2, strip.corner.y + side + 22}, "L*", label_pt,
           Anchor::middle);
  if (pair.to) {
    pen.line(ab.at(pair.from->tone.lab.a, pair.from->tone.lab.b),
             ab.at(pair.to->tone.lab.a, pair.to->tone.lab.b), 0.5, mid);
    draw_ab(pen, ab, *pair.to, false);
    draw_L(pen, strip, *pair.to, false);
  }
  draw_ab(pen, ab, *pair.from, true);
  draw_L(pen, strip, *pair.from, true);
}

// ---- spectra ----

struct SpotCurves {
  std::string spot;
  std::vector<const Reading*> readings;
};

std::vector<SpotCurves> curves_by_spot(const ReportContent& content) {
  std::vector<SpotCurves> spots;
  for (const Reading& reading : content.readings) {
    if (reading.curve.nm.size() < 2) continue;
    auto known = std::find_if(spots.begin(), spots.end(),
                              [&](const SpotCurves& s) { return s.spot == reading.spot; });
    if (known == spots.end()) known = spots.insert(spots.end(), {reading.spot, {}});
    const bool seen =
        std::any_of(known->readings.begin(), known->readings.end(), [&](const Reading* r) {
          return r->stage == reading.stage && r->backing == reading.backing;
        });
    if (!seen && known->readings.size() < dashes.size()) known->readings.push_back(&reading);
  }
  return spots;
}

/// Its stage; with what lay behind, where the spot was read over several things.
std::string label_of(const Reading& reading, const SpotCurves& spot) {
  const bool several = std::any_of(spot.readings.begin(), spot.readings.end(),
                                   [&](const Reading* r) { return r->backing != reading.backing; });
  return several ? joined({reading.stage, reading.backing}, ", ") : reading.stage;
}

void draw_band(Pen& pen, const Frame& frame, const Curve& curve) {
  if (curve.low.size() != curve.nm.size() || curve.high.size() != curve.nm.size()) return;
  std::vector<Point> rim;
  for (std::size_t i = 0; i < curve.nm.size(); ++i)
    rim.push_back(frame.at(curve.nm[i], curve.high[i]));
  for (std::size_t i = curve.nm.size(); i-- > 0;)
    rim.push_back(frame.at(curve.nm[i], curve.low[i]));
  Path style;
  style.fill = mid;
  style.fill_opacity = 0.3;
  pen.shape(std::move(rim), std::move(style));
}

void draw_curve(Pen& pen, const Frame& frame, const Curve& curve, std::size_t number_of_curve) {
  std::vector<Point> points;
  for (std::size_t i = 0; i < curve.nm.size(); ++i)
    points.push_back(frame.at(curve.nm[i], curve.mean[i]));
  pen.polyline(std::move(points), 1, black, dashes[number_of_curve]);
}

/// Tabulated ranges beyond the visible are cut to it in the figure.
Curve visible(const Curve& curve) {
  Curve cut;
  for (std::size_t i = 0; i < curve.nm.size(); ++i) {
    if (curve.nm[i] < 380 || curve.nm[i] > 780) continue;
    cut.nm.push_back(curve.nm[i]);
    cut.mean.push_back(curve.mean[i]);
    if (curve.low.size() == curve.nm.size()) cut.low.push_back(curve.low[i]);
    if (curve.high.size() == curve.nm.size()) cut.high.push_back(curve.high[i]);
  }
  return cut;
}

void draw_spectrum_panel(Pen& pen, Point corner, const SpotCurves& spot) {
  std::vector<Curve> curves;
  double low = 1e9, high = -1e9, first_nm = 1e9, last_nm = -1e9;
  for (const Reading* reading : spot.readings) {
    curves.push_back(visible(reading->curve));
    for (const double value : curves.back().mean) {
      low = std::min(low, value);
      high = std::max(high, value);
    }
    if (curves.back().nm.empty()) continue;
    first_nm = std::min(first_nm, curves.back().nm.front());
    last_nm = std::max(last_nm, curves.back().nm.back());
  }
  if (first_nm >= last_nm) return;
  pen.text({corner.x, corner.y + 9}, folded(spot.spot, 112, label_pt, 1).front(), label_pt,
           Anchor::start, Face::sans_bold);
  const Axis x{20 * std::floor(first_nm / 20), 20 * std::ceil(last_nm / 20), 100, 0};
  const Frame frame{{corner.x + 29, corner.y + 50}, 82, 58, x, axis_for(low, high, 3)};
  draw_frame(pen, frame, "nm", "reflectance");
  for (const Curve& curve : curves) draw_band(pen, frame, curve);
  double legend_y = corner.y + 17;
  for (std::size_t i = 0; i < curves.size(); ++i) {
    draw_curve(pen, frame, curves[i], i);
    pen.line({corner.x + 4, legend_y}, {corner.x + 20, legend_y}, 1, black, dashes[i]);
    pen.text({corner.x + 23, legend_y + 2.6},
             folded(label_of(*spot.readings[i], spot), 90, 7.4, 1).front(), 7.4);
    legend_y += 8.5;
  }
}

// ---- series ----

/// One line of a track: a value a step, with its interval where there is one.
struct TrackLine {
  std::string name;
  std::vector<std::optional<double>> value, low, high;
};

struct Track {
  std::string title;
  double height = 0;
  int steps = 4;
  std::vector<TrackLine> lines;
  std::optional<double> limit;
};

/// Steps of all series, in the order of the longest; each by its label.
std::vector<std::string> steps_of(const std::vector<Series>& all) {
  std::vector<std::string> steps;
  const auto longest = std::max_element(
      all.begin(), all.end(),
      [](const Series& p, const Series& q) { return p.points.size() < q.points.size(); });
  for (const SeriesPoint& point : longest->points) add_new(steps, {point.label});
  for (const Series& one : all)
    for (const SeriesPoint& point : one.points) add_new(steps, {point.label});
  return steps;
}

const SeriesPoint* point_at(const Series& series, const std::string& step) {
  for (const SeriesPoint& point : series.points)
    if (point.label == step) return &point;
  return nullptr;
}

TrackLine line_of(const Series& series, const std::vector<std::string>& steps,
                  std::optional<double> SeriesPoint::*member) {
  TrackLine line;
  line.name = series.spot;
  for (const std::string& step : steps) {
    const SeriesPoint* point = point_at(series, step);
    line.value.push_back(point ? point->*member : std::nullopt);
    const bool change = member == &SeriesPoint::de00;
    line.low.push_back(point && change ? point->low : std::nullopt);
    line.high.push_back(point && change ? point->high : std::nullopt);
  }
  return line;
}

/// What is the same for all spots, from whichever knows it.
TrackLine shared_line(const std::vector<Series>& all, const std::vector<std::string>& steps,
                      std::optional<double> SeriesPoint::*member) {
  TrackLine line;
  for (const std::string& step : steps) {
    std::optional<double> value;
    for (const Series& one : all)
      if (const SeriesPoint* point = point_at(one, step); point && !value) value = point->*member;
    line.value.push_back(value);
  }
  line.low.resize(steps.size());
  line.high.resize(steps.size());
  return line;
}

/// Names at the ends of their lines, moved apart where lines end close to each other.
void name_lines(Pen& pen, const Frame& frame, const Track& track, double x) {
  std::vector<std::pair<double, std::string>> names;
  for (const TrackLine& line : track.lines) {
    std::optional<double> last;
    for (const auto& value : line.value)
      if (value) last = value;
    if (last && !line.name.empty()) names.push_back({frame.at(0, *last).y, line.name});
  }
  std::sort(names.begin(), names.end());
  double lowest = -1e9;
  for (const auto& [wanted, name] : names) {
    const double y = std::max(wanted, lowest + 9);
    pen.text({x, y + 2.6}, folded(name, 92, 7.4, 1).front(), 7.4);
    lowest = y;
  }
}

/// One panel of a series; false where nothing is known.
bool draw_track(Pen& pen, Point corner, double width, const Track& track) {
  double least = 1e9, most = -1e9;
  for (const TrackLine& line : track.lines)
    for (const auto* values : {&line.value, &line.low, &line.high})
      for (const auto& value : *values)
        if (value) {
          least = std::min(least, *value);
          most = std::max(most, *value);
        }
  if (most < least) return false;
  if (track.limit) {
    least = std::min(0.0, least);
    most = std::max(most, *track.limit);
  }
  const double count = static_cast<double>(track.lines.front().value.size());
  const Frame frame{
      corner, width, track.height, {0, count, 2 * count, 0}, axis_for(least, most, track.steps)};
  for (const double value : frame.y.ticks()) {
    const double y = frame.at(0, value).y;
    pen.line({corner.x, y}, {corner.x + width, y}, 0.3, pale);
    pen.text({corner.x - 5, y + 2.6}, number(value, frame.y.decimals), label_pt, Anchor::end);
  }
  pen.line(corner, {corner.x, corner.y + track.height}, 0.6, black);
  pen.upwards({corner.x - 30, corner.y + track.height / 2}, track.title, label_pt, Anchor::middle);
  if (track.limit) {
    const Point at = frame.at(count, *track.limit);
    pen.line({corner.x, at.y}, at, 0.8, black, {5, 2.5});
    pen.text({corner.x + 3, at.y - 2.5}, "tolerance " + number(*track.limit, 1), 7.4);
  }
  const bool several = track.lines.size() > 1;
  for (std::size_t k = 0; k < track.lines.size(); ++k) {
    const TrackLine& line = track.lines[k];
    std::vector<Point> joined_points;
    for (std::size_t i = 0; i < line.value.size(); ++i)
      if (line.value[i])
        joined_points.push_back(frame.at(static_cast<double>(i) + 0.5, *line.value[i]));
    pen.polyline(joined_points, 0.6, several ? black : mid, dashes[k % dashes.size()]);
    // Bars of several spots stand beside each other.
    const double aside = several ? 0.1 * (static_cast<double>(k % 5) - 2) : 0;
    for (std::size_t i = 0; i < line.value.size(); ++i) {
      if (!line.value[i]) continue;
      const double x = static_cast<double>(i) + 0.5 + aside;
      if (line.low[i] && line.high[i] && track.lines.size() <= 5)
        pen.whisker(frame.at(x, *line.low[i]), frame.at(x, *line.high[i]));
      pen.dot(frame.at(x, *line.value[i]), several ? 1.8 : 2.4, k % 2 == 0);
    }
  }
  if (several) name_lines(pen, frame, track, corner.x + width + 5);
  return true;
}

}  // namespace

std::optional<Figure> change_scale(const ReportContent& content) {
  const std::vector<const Difference*> rows = scale_rows(content);
  if (rows.empty()) return std::nullopt;
  const bool same_light = one_light(rows);
  double most = 0.5;
  for (const Difference* d : rows)
    most = std::max({most, d->de00, d->high.value_or(0), d->tolerance.value_or(0)});
  constexpr double row_height = 19, top = 26;
  const double height = row_height * static_cast<double>(rows.size());
  Figure figure{{FigureRow{}}, {}};
  auto& [drawing, alt] = figure.rows.front();
  drawing.width = text_width_pt;
  drawing.height = top + height + 32;
  Pen pen(drawing);
  Frame frame{{152, top}, 226, height, axis_for(0, most, 5), {0, 1, 2, 0}};
  for (const double value : frame.x.ticks()) {
    const double x = frame.at(value, 0).x;
    pen.line({x, top}, {x, top + height}, 0.3, pale);
    pen.line({x, top + height}, {x, top + height + 3}, 0.6, black);
    pen.text({x, top + height + 12}, number(value, frame.x.decimals), label_pt, Anchor::middle);
  }
  pen.line({frame.corner.x, top + height}, {frame.corner.x + frame.width, top + height}, 0.6,
           black);
  pen.text({frame.corner.x + frame.width / 2, top + height + 25},
           std::string("colour difference ") + de00_sign, label_pt, Anchor::middle);
  pen.text({frame.corner.x + frame.width + 10, top - 8}, std::string(de00_sign) + " (95 %)",
           label_pt, Anchor::start, Face::sans_bold);
  if (const auto tolerance = common_tolerance(rows)) {
    const double x = frame.at(*tolerance, 0).x;
    pen.line({x, top - 4}, {x, top + height}, 1, black, {5, 2.5});
    pen.text({x, top - 8}, "tolerance " + number(*tolerance, 1), label_pt, Anchor::middle);
  }
  double y = top + row_height / 2;
  for (const Difference* d : rows) {
    const double x = frame.at(d->de00, 0).x;
    pen.text({frame.corner.x - 8, y + 2.8},
             folded(row_label(*d, !same_light), 142, label_pt, 1).front(), label_pt, Anchor::end);
    if (d->low && d->high) pen.whisker({frame.at(*d->low, 0).x, y}, {frame.at(*d->high, 0).x, y});
    if (d->tolerance && !common_tolerance(rows)) {
      const double limit = frame.at(*d->tolerance, 0).x;
      pen.line({limit, y - 7}, {limit, y + 7}, 1, black, {2, 1.5});
    }
    pen.dot({x, y}, 2.7, true);
    const std::string range = interval(d->low, d->high);
    pen.text({frame.corner.x + frame.width + 10, y + 2.8},
             number(d->de00, 2) + (range.empty() ? "" : " (" + range + ")"), label_pt);
    alt += row_label(*d, true) + ": " + number(d->de00, 2) +
           (range.empty() ? "" : ", interval " + range) + ". ";
    y += row_height;
  }
  figure.caption = say(Sentence::scale_caption);
  if (same_light)
    figure.caption +=
        " " + say(Sentence::under,
                  {{"viewing", viewing_words(rows.front()->light, rows.front()->observer_deg)}});
  if (rows.size() < content.differences.size())
    figure.caption += " " + say(Sentence::rest_in_table);
  return figure;
}

std::optional<Figure> regions(const ReportContent& content) {
  const std::vector<Compared> pairs = first_and_last(content);
  std::vector<std::string> bases;
  bool some_unknown = false;
  for (const Compared& pair : pairs)
    for (const Reading* reading : {pair.from, pair.to}) {
      if (!reading) continue;
      some_unknown = some_unknown || !reading->region;
      if (reading->region) add_new(bases, {reading->region->basis});
    }
  std::string caption =
      (bases.empty() ? say(Sentence::regions_caption)
                     : say(Sentence::regions_caption_basis, {{"basis", joined(bases, "; ")}})) +
      " " + say(Sentence::regions_scales);
  if (some_unknown) caption += " " + say(Sentence::regions_unknown);
  return in_panels(pairs.size(), region_panels, caption,
                   [&](FigureRow& row, Pen& pen, Point corner, std::size_t i) {
                     draw_region_panel(pen, corner, pairs[i]);
                     row.alt += pairs[i].from->spot + ": " + lab_words(pairs[i].from->tone.lab, 2);
                     if (pairs[i].to) row.alt += " to " + lab_words(pairs[i].to->tone.lab, 2);
                     row.alt += ". ";
                   });
}

std::optional<Figure> spectra(const ReportContent& content) {
  const std::vector<SpotCurves> spots = curves_by_spot(content);
  return in_panels(spots.size(), spectrum_panels, say(Sentence::spectra_caption),
                   [&](FigureRow& row, Pen& pen, Point corner, std::size_t i) {
                     draw_spectrum_panel(pen, corner, spots[i]);
                     std::vector<std::string> stages;
                     for (const Reading* reading : spots[i].readings)
                       stages.push_back(label_of(*reading, spots[i]));
                     row.alt += "Spectra of " + spots[i].spot + ": " + joined(stages, ", ") + ". ";
                   });
}

std::optional<Figure> series_figure(const ReportContent& content) {
  std::vector<Series> all = content.series;
  std::erase_if(all, [](const Series& one) { return one.points.empty(); });
  if (all.empty()) return std::nullopt;
  const std::vector<std::string> steps = steps_of(all);
  Track change{de00_sign, 92, 4, {}, all.front().tolerance};
  for (const Series& one : all) change.lines.push_back(line_of(one, steps, &SeriesPoint::de00));
  Figure figure{{FigureRow{}}, {}};
  auto& [drawing, alt] = figure.rows.front();
  drawing.width = text_width_pt;
  Pen pen(drawing);
  constexpr double left = 40;
  const double width = all.size() > 1 ? 344 : 400;
  double y = 8;
  if (draw_track(pen, {left, y}, width, change)) y += change.height + 14;
  using Member = std::optional<double> SeriesPoint::*;
  const std::pair<const char*, Member> shared[] = {
      {"pH", &SeriesPoint::ph}, {"\u00b5S/cm", &SeriesPoint::conductivity_us_cm}};
  for (const auto& [title, member] : shared) {
    const Track track{title, 26, 2, {shared_line(all, steps, member)}, {}};
    if (draw_track(pen, {left, y}, width, track)) y += track.height + 14;
  }
  const double step = width / static_cast<double>(steps.size());
  const std::size_t every = step >= 24 ? 1 : static_cast<std::size_t>(std::ceil(24 / step));
  std::size_t deepest = 1;
  for (std::size_t i = 0; i < steps.size(); i += every) {
    const auto label = folded(steps[i], step * static_cast<double>(every) - 4, label_pt, 3);
    pen.lines({left + step * (static_cast<double>(i) + 0.5), y}, label, label_pt, Anchor::middle);
    deepest = std::max(deepest, label.size());
  }
  drawing.height = y + 10 * static_cast<double>(deepest);
  std::vector<std::string> remarks;
  for (const Series& one : all) {
    alt += one.spot + ": ";
    for (const SeriesPoint& point : one.points)
      alt +=
          point.label + " " + number(point.de00, 2) + (&point == &one.points.back() ? ". " : ", ");
    if (!one.remark.empty() && all.size() <= 6)
      remarks.push_back((all.size() > 1 ? one.spot + ": " : "") + sentence(one.remark));
  }
  const std::string viewing = viewing_words(all.front().light, all.front().observer_deg);
  const std::string first =
      all.size() == 1
          ? say(Sentence::series_of, {{"spot", all.front().spot}, {"viewing", viewing}})
          : say(all.size() <= 5 ? Sentence::series_caption_bars : Sentence::series_caption,
                {{"viewing", viewing}});
  figure.caption = joined({first, joined(remarks, " ")}, " ");
  return figure;
}

}  // namespace mendtone::report
