#pragma once
#include <array>
#include <string>
#include <vector>

#include "mendtone/adapters/pdf.hpp"
#include "mendtone/imaging/picture.hpp"

namespace mendtone {

/// A line of text on a picture, in the fonts that the report has. `x`, `y`: where its left end (or
/// middle, or right end) stands, and the middle of its height; in pixels.
struct Label {
  enum class Anchor { left, middle, right };
  double x = 0, y = 0;
  std::string text;
  double size_px = 18;
  bool bold = false;
  Anchor anchor = Anchor::left;
  std::array<std::uint16_t, 3> ink{8000, 8000, 8000};
};

/// Draws the labels in 16 bits, smoothed. Contract: they lie within the picture (see `text_width`).
void draw(Picture& picture, const std::vector<Label>& labels, const ReportFonts& fonts);

/// Width in pixels that a label will take.
double text_width(const Label& label, const ReportFonts& fonts);

/// `text` broken at blanks into lines of at most `width_px`; a longer word is broken within.
std::vector<std::string> broken(const std::string& text, double size_px, double width_px,
                                const ReportFonts& fonts);

}  // namespace mendtone
