#pragma once
#include <optional>
#include <string>
#include <vector>

#include "mendtone/app/image/image.hpp"
#include "mendtone/imaging/change.hpp"

namespace mendtone::app {

struct ImageChangeRequest {
  PhotoRequest before, after;
  /// "auto", "points" or "none" (pixel upon pixel: both must have one size).
  std::string align = "auto";
  Alignment alignment = Alignment::affine;
  std::string points;                ///< CSV before_x,before_y,after_x,after_y; for "points"
  double residual_limit_px = 1;      ///< a poorer alignment is refused
  std::string unchanged;             ///< a region; empty: brightness is left alone
  std::vector<std::string> regions;  ///< figures for each, beside the whole
  double tolerance_de00 = 0.8;
  std::optional<double> pixels_per_mm;
  std::string maps;                  ///< pictures are NAME-de00.png, -dL, -da, -db; empty: none
  std::string maps_ending = ".png";  ///< or ".tif"
  std::string values;                ///< TIFF of DeltaE00 a pixel, float; empty: none
  int threads = 0;                   ///< 0: as many as the machine has
};

struct ImageChangeAnswer {
  PhotoStatement before, after;
  Registration registration;
  std::string aligned_by;      ///< "auto", "points", "none"
  std::optional<Drift> drift;  ///< only where an unchanged area was named
  std::string unchanged;       ///< that area's name
  double tolerance_de00 = 0.8;
  std::optional<double> pixels_per_mm;
  std::vector<ChangeFigures> regions;  ///< the whole first
  std::vector<std::string> pictures;   ///< written files
  std::vector<std::string> warnings;
};

/// Before and after of one sheet: laid on each other, compared pixel by pixel under D50/2 degrees.
Result<ImageChangeAnswer> image_change(const ImageChangeRequest& request);

std::string to_text(const ImageChangeAnswer&);
std::string to_json(const ImageChangeAnswer&);
std::string to_csv(const ImageChangeAnswer&);
inline bool has_answer(const ImageChangeAnswer&) {
  return true;
}

}  // namespace mendtone::app
