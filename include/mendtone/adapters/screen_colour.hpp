#pragma once
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/colour/lab.hpp"
#include "mendtone/report/content.hpp"

namespace mendtone {

/// CIELAB to sRGB through ICC, for looking at, not for measuring. The white of the reading's own
/// light becomes the white of the screen (Bradford adaptation to D50), so that a sheet under a
/// warm lamp looks as it does to an eye that has got used to the lamp. Ref: icc1, iec61966-2-1
class ScreenColours {
 public:
  static Result<ScreenColours> open();
  ~ScreenColours();
  ScreenColours(ScreenColours&&) noexcept;
  ScreenColours& operator=(ScreenColours&&) noexcept;

  /// `white`: of the light and observer that `lab` belongs to, Y = 100. Colours outside sRGB are
  /// cut to it channel by channel and marked.
  report::ScreenColour of(const Lab& lab, const Xyz& white) const;

  /// A picture's pixels, Lab under D50 and 2 degrees, as three bytes each; cut to sRGB unmarked.
  std::vector<std::uint8_t> of_picture(const std::vector<Lab>& pixels) const;

 private:
  struct State;
  explicit ScreenColours(std::unique_ptr<State> state);
  std::unique_ptr<State> state_;
};

/// How a picture is written for a report: a photograph as JPEG of good quality; what has few
/// colours and sharp edges as PNG with a palette.
enum class Encoding { photograph, flat };

/// A part of a picture, in its pixels.
struct PicturePart {
  int left = 0, top = 0, width = 0, height = 0;
};

/// A picture made small for a report: sRGB, at most `most_px` wide and high.
struct ReportPicture {
  std::string bytes;  ///< JPEG or PNG
  int width_px = 0, height_px = 0;
  /// How many pixels of the photograph one pixel of it stands for, along each axis.
  double shrunk_by = 1;
  std::string mark;  ///< `declared_srgb` where that is all that is known of its colours
};

/// Reads a picture, or a part of it, through its ICC profile, row by row, averages it down and
/// writes it as sRGB. Refuses what Photograph::open refuses, and a part that is not in the picture.
Result<ReportPicture> report_picture(const std::string& path, int most_px, Encoding encoding,
                                     const std::optional<PicturePart>& part = {});

}  // namespace mendtone
