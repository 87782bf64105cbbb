#include "report/plot.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "report/words.hpp"

namespace mendtone::report {
namespace {

constexpr double pi = 3.14159265358979323846;

/// Words, keeping the blanks out.
std::vector<std::string> words_of(const std::string& text) {
  std::vector<std::string> words(1);
  for (const char c : text) {
    if (c == ' ' || c == '\n') {
      if (!words.back().empty()) words.emplace_back();
    } else {
      words.back() += c;
    }
  }
  if (words.back().empty()) words.pop_back();
  return words;
}

/// Cuts whole UTF-8 characters off the end until "…" fits behind.
std::string shortened(std::string line, double width_pt, double size_pt) {
  const std::string dots = "\u2026";
  while (!line.empty() && estimated_width(line + dots, size_pt) > width_pt) {
    while (!line.empty() && (static_cast<unsigned char>(line.back()) & 0xC0) == 0x80)
      line.pop_back();
    if (!line.empty()) line.pop_back();
  }
  return line + dots;
}

}  // namespace

Ink ink_of(const ScreenColour& colour) {
  return {colour.r, colour.g, colour.b};
}

double estimated_width(std::string_view text, double size_pt) {
  return 0.53 * size_pt * static_cast<double>(characters(text));
}

std::vector<std::string> folded(const std::string& text, double width_pt, double size_pt,
                                std::size_t most) {
  std::vector<std::string> lines(1);
  for (const std::string& word : words_of(text)) {
    std::string& line = lines.back();
    const std::string longer = line.empty() ? word : line + " " + word;
    if (line.empty() || estimated_width(longer, size_pt) <= width_pt)
      line = longer;
    else
      lines.push_back(word);
  }
  const bool cut = lines.size() > most;
  if (cut) lines.resize(most);
  for (std::string& line : lines)
    if (estimated_width(line, size_pt) > width_pt || (cut && &line == &lines.back()))
      line = shortened(line, width_pt, size_pt);
  return lines;
}

void Pen::line(Point from, Point to, double width_pt, Ink ink, std::vector<double> dash) {
  polyline({from, to}, width_pt, ink, std::move(dash));
}

void Pen::polyline(std::vector<Point> points, double width_pt, Ink ink, std::vector<double> dash) {
  Path path;
  path.lines.push_back({std::move(points), false});
  path.stroke_pt = width_pt;
  path.stroke = ink;
  path.dash_pt = std::move(dash);
  drawing_.items.emplace_back(std::move(path));
}

void Pen::shape(std::vector<Point> points, Path style) {
  style.lines = {{std::move(points), true}};
  drawing_.items.emplace_back(std::move(style));
}

void Pen::box(Point c, double width, double height, Path style) {
  shape({c, {c.x + width, c.y}, {c.x + width, c.y + height}, {c.x, c.y + height}},
        std::move(style));
}

void Pen::dot(Point centre, double radius, bool filled) {
  Path style;
  style.fill = filled ? black : paper;
  style.stroke = black;
  style.stroke_pt = 0.9;
  std::vector<Point> rim;
  for (int i = 0; i < 24; ++i)
    rim.push_back(
        {centre.x + radius * std::cos(i * pi / 12), centre.y + radius * std::sin(i * pi / 12)});
  shape(std::move(rim), std::move(style));
}

void Pen::ellipse(Point centre, double half_x, double half_y, double angle_deg, double width_pt,
                  std::vector<double> dash) {
  Path style;
  style.stroke = dark;
  style.stroke_pt = width_pt;
  style.dash_pt = std::move(dash);
  const double c = std::cos(angle_deg * pi / 180), s = std::sin(angle_deg * pi / 180);
  std::vector<Point> rim;
  for (int i = 0; i < 60; ++i) {
    const double u = half_x * std::cos(i * pi / 30), v = half_y * std::sin(i * pi / 30);
    rim.push_back({centre.x + c * u - s * v, centre.y - s * u - c * v});
  }
  shape(std::move(rim), std::move(style));
}

void Pen::text(Point at, std::string text, double size_pt, Anchor anchor, Face face, Ink ink) {
  drawing_.items.emplace_back(Text{at, std::move(text), face, size_pt, anchor, ink, false});
}

void Pen::upwards(Point at, std::string text, double size_pt, Anchor anchor) {
  drawing_.items.emplace_back(Text{at, std::move(text), Face::sans, size_pt, anchor, black, true});
}

double Pen::lines(Point at, std::span<const std::string> texts, double size_pt, Anchor anchor,
                  Face face, Ink ink) {
  for (const std::string& one : texts) {
    text(at, one, size_pt, anchor, face, ink);
    at.y += 1.2 * size_pt;
  }
  return at.y;
}

void Pen::whisker(Point from, Point to) {
  constexpr double half_end = 2.6;
  const bool level = std::abs(from.y - to.y) < std::abs(from.x - to.x);
  line(from, to, 0.9, black);
  for (const Point& end : {from, to}) {
    if (level)
      line({end.x, end.y - half_end}, {end.x, end.y + half_end}, 0.9, black);
    else
      line({end.x - half_end, end.y}, {end.x + half_end, end.y}, 0.9, black);
  }
}

void Pen::picture(Point corner, double width, double height, std::size_t index) {
  drawing_.items.emplace_back(Image{corner, width, height, index});
}

std::vector<double> Axis::ticks() const {
  std::vector<double> all;
  const double lowest = std::ceil(first / step - 1e-9);
  for (double i = lowest; i * step <= last + 1e-9 * step; ++i) all.push_back(i * step);
  return all;
}

Axis axis_for(double low, double high, int steps) {
  assert(steps > 0 && low <= high);
  if (high - low < 1e-9) high = low + 1e-3;
  const double rough = (high - low) / steps;
  const double power = std::pow(10, std::floor(std::log10(rough)));
  double step = 10 * power;
  for (const double nice : {5.0, 2.0, 1.0})
    if (rough <= nice * power * (1 + 1e-9)) step = nice * power;
  Axis axis;
  axis.step = step;
  axis.first = step * std::floor(low / step + 1e-9);
  axis.last = step * std::ceil(high / step - 1e-9);
  axis.decimals = std::max(0, static_cast<int>(-std::floor(std::log10(step) + 1e-9)));
  return axis;
}

void draw_frame(Pen& pen, const Frame& f, const std::string& x_title, const std::string& y_title) {
  const double bottom = f.corner.y + f.height;
  constexpr double tick = 3;
  for (const double value : f.y.ticks()) {
    const double y = f.at(f.x.first, value).y;
    pen.line({f.corner.x, y}, {f.corner.x + f.width, y}, 0.3, pale);
    pen.text({f.corner.x - tick - 2, y + 2.6}, number(value, f.y.decimals), label_pt, Anchor::end);
  }
  for (const double value : f.x.ticks()) {
    const double x = f.at(value, f.y.first).x;
    pen.line({x, bottom}, {x, bottom + tick}, 0.6, black);
    pen.text({x, bottom + tick + 8}, number(value, f.x.decimals), label_pt, Anchor::middle);
  }
  pen.line(f.corner, {f.corner.x, bottom}, 0.6, black);
  pen.line({f.corner.x, bottom}, {f.corner.x + f.width, bottom}, 0.6, black);
  if (!x_title.empty())
    pen.text({f.corner.x + f.width / 2, bottom + tick + 19}, x_title, label_pt, Anchor::middle);
  if (!y_title.empty())
    pen.upwards({f.corner.x - 30, f.corner.y + f.height / 2}, y_title, label_pt, Anchor::middle);
}

std::vector<Point> fitted(const Outline& outline, Point corner, double width, double height) {
  std::vector<Point> points;
  if (outline.points.size() < 3) {
    const double radius = std::min(width, height) / 2;
    for (int i = 0; i < 60; ++i)
      points.push_back({corner.x + width / 2 + radius * std::cos(i * pi / 30),
                        corner.y + height / 2 + radius * std::sin(i * pi / 30)});
    return points;
  }
  double left = outline.points[0][0], right = left, top = outline.points[0][1], bottom = top;
  for (const auto& p : outline.points) {
    left = std::min(left, p[0]);
    right = std::max(right, p[0]);
    top = std::min(top, p[1]);
    bottom = std::max(bottom, p[1]);
  }
  const double scale =
      std::min(width / std::max(right - left, 1e-9), height / std::max(bottom - top, 1e-9));
  const double x0 = corner.x + (width - scale * (right - left)) / 2;
  const double y0 = corner.y + (height - scale * (bottom - top)) / 2;
  for (const auto& p : outline.points)
    points.push_back({x0 + scale * (p[0] - left), y0 + scale * (p[1] - top)});
  return points;
}

Path patch_style(const std::optional<ScreenColour>& colour) {
  Path style;
  style.fill = colour ? ink_of(*colour) : paper;
  style.hatched = !colour || colour->outside;
  style.stroke_pt = 0.4;
  style.stroke = mid;
  return style;
}

}  // namespace mendtone::report
