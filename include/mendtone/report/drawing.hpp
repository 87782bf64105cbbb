#pragma once
#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

namespace mendtone::report {

/// The page model: boxes, text and paths in points (1/72 inch), y downwards. One drawing becomes
/// inline SVG in the HTML and Cairo calls in the PDF, so that both show the same.

struct Ink {
  std::uint8_t r = 0, g = 0, b = 0;
  bool operator==(const Ink&) const = default;
};

struct Point {
  double x = 0, y = 0;
};

struct Polyline {
  std::vector<Point> points;
  bool closed = false;
};

/// Filled first (even-odd), then hatched, then stroked.
struct Path {
  std::vector<Polyline> lines;
  std::optional<Ink> fill;
  double fill_opacity = 1;
  bool hatched = false;  ///< diagonal lines over the fill: the colour is not what it seems
  double stroke_pt = 0;  ///< 0: no stroke
  Ink stroke;
  std::vector<double> dash_pt;
};

enum class Face { serif, serif_italic, serif_bold, sans, sans_italic, sans_bold };
enum class Anchor { start, middle, end };

struct Text {
  Point at;  ///< on the baseline
  std::string text;
  Face face = Face::sans;
  double size_pt = 8;
  Anchor anchor = Anchor::start;
  Ink ink;
  bool upwards = false;  ///< turned a quarter to the left
};

/// A picture set into a rectangle. `picture` is an index that the drawing's owner resolves.
struct Image {
  Point at;
  double width = 0, height = 0;
  std::size_t picture = 0;
};

/// What a part of the page is, for who hears it read: begins or ends there. `role` is a standard
/// structure type of ISO 32000 ("H1", "P", "Table", "TR", "TH", "TD", "L", "LI", "Figure");
/// `words` is what a figure shows.
struct Tag {
  bool begins = true;
  std::string role;
  std::string words;
};

using Item = std::variant<Path, Text, Image, Tag>;

struct Drawing {
  double width = 0, height = 0;
  std::vector<Item> items;
};

/// Width of text as it will be drawn; the PDF adapter knows the font.
class TextMeasure {
 public:
  virtual ~TextMeasure() = default;
  virtual double width_pt(std::string_view utf8, Face face, double size_pt) const = 0;
};

/// A heading's place, for the PDF's list of contents.
struct Bookmark {
  std::string title;
  int level = 1;
  std::size_t page = 0;
  double y = 0;
};

/// A4 pages, ready to draw.
struct PagedReport {
  std::string title, subject, author, program, date;
  std::vector<Drawing> pages;
  std::vector<Bookmark> bookmarks;
  std::vector<std::string> pictures;  ///< PNG or JPEG bytes, by Image::picture
};

}  // namespace mendtone::report
