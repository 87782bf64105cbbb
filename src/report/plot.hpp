#pragma once
#include <span>
#include <string>
#include <vector>

#include "mendtone/report/content.hpp"
#include "mendtone/report/drawing.hpp"

// What every figure is drawn with. The only colours in a report are the object's own: all else
// is ink and greys, and is told apart by shape, dash and words.
namespace mendtone::report {

inline constexpr Ink black{26, 26, 26}, dark{70, 70, 70}, mid{120, 120, 120}, pale{205, 205, 205},
    paper{255, 255, 255};
inline constexpr double text_width_pt = 483;  ///< A4 less its margins; the width of every figure
inline constexpr double label_pt = 8;

Ink ink_of(const ScreenColour& colour);

/// Widths without the font: an estimate on the generous side, so that nothing is clipped in
/// whatever font an HTML reader has.
double estimated_width(std::string_view text, double size_pt);
/// Breaks at blanks into lines no wider than `width_pt` by that estimate; at most `most` lines,
/// the last ending in "…" where text was left over.
std::vector<std::string> folded(const std::string& text, double width_pt, double size_pt,
                                std::size_t most);

/// Adds shapes to a drawing.
class Pen {
 public:
  explicit Pen(Drawing& drawing) : drawing_(drawing) {}

  void line(Point from, Point to, double width_pt, Ink ink, std::vector<double> dash = {});
  void polyline(std::vector<Point> points, double width_pt, Ink ink, std::vector<double> dash = {});
  void shape(std::vector<Point> points, Path style);
  void box(Point corner, double width, double height, Path style);
  /// `filled`: solid; else paper-coloured with a rim.
  void dot(Point centre, double radius, bool filled);
  void ellipse(Point centre, double half_x, double half_y, double angle_deg, double width_pt,
               std::vector<double> dash);
  void text(Point at, std::string text, double size_pt = label_pt, Anchor anchor = Anchor::start,
            Face face = Face::sans, Ink ink = black);
  void upwards(Point at, std::string text, double size_pt, Anchor anchor);
  /// Lines under each other, 1.2 sizes apart; the baseline below the last.
  double lines(Point at, std::span<const std::string> texts, double size_pt, Anchor anchor,
               Face face = Face::sans, Ink ink = black);
  /// An interval with end strokes.
  void whisker(Point from, Point to);
  void picture(Point corner, double width, double height, std::size_t index);

 private:
  Drawing& drawing_;
};

/// An axis with ticks at the multiples of `step` that lie on it.
struct Axis {
  double first = 0, last = 1, step = 1;
  int decimals = 0;

  std::vector<double> ticks() const;
  /// 0 at `first`, 1 at `last`.
  double share(double value) const { return (value - first) / (last - first); }
};

/// An axis that holds low…high in about `steps` steps of 1, 2 or 5 times a power of ten, its ends
/// on ticks.
Axis axis_for(double low, double high, int steps);

/// Two axes set in a rectangle.
struct Frame {
  Point corner;
  double width = 0, height = 0;
  Axis x, y;

  Point at(double x_value, double y_value) const {
    return {corner.x + width * x.share(x_value), corner.y + height * (1 - y.share(y_value))};
  }
};

/// Rules, ticks and their numbers; titles only where given.
void draw_frame(Pen& pen, const Frame& frame, const std::string& x_title,
                const std::string& y_title);

/// `outline` fitted into the box, its proportions kept. Without an outline: a disc, the shape of
/// an instrument's aperture.
std::vector<Point> fitted(const Outline& outline, Point corner, double width, double height);

/// The style of a patch of colour: hatched where a screen cannot show it; crossed out to paper
/// where no colour is known.
Path patch_style(const std::optional<ScreenColour>& colour);

}  // namespace mendtone::report
