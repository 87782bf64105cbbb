#pragma once
#include <array>
#include <optional>
#include <string>
#include <vector>

#include "mendtone/app/image/image.hpp"
#include "mendtone/imaging/fill.hpp"
#include "mendtone/imaging/ground.hpp"

namespace mendtone::app {

struct ImagePreviewRequest {
  PhotoRequest photo;      ///< its own profile must also lead back from colour to pixels
  std::string loss;        ///< region text
  std::string fills;       ///< JSON of `tissue` or `wash`
  std::optional<Lab> lab;  ///< or one colour, D50/2 degrees
  int rank = 1;            ///< which of the fills
  std::string light;       ///< one of theirs; empty: the viewing light
  std::array<double, 2> ring_mm{1, 6};
  std::optional<double> pixels_per_mm;
  double feather_mm = 0.3;
  double overlap_mm = 0;
  std::optional<Lab> overlap_shift;  ///< what the overlap adds to the sheet; empty: as in `fills`
  bool stipple = false;              ///< with the mottling of the surrounding paper
  std::string out;                   ///< the picture, 16 bits, profile embedded
  std::string strip;                 ///< the best ones side by side; empty: none
  int strip_count = 5;
};

/// One fill as it was painted.
struct PreviewedFill {
  int rank = 1;
  std::string name;
  Lab lab;          ///< painted, D50/2 degrees
  double de00 = 0;  ///< to the paper around the loss, as painted
  double dL = 0, da = 0, db = 0;
  std::optional<double> overlap_de00;
  std::optional<Lab> overlap_shift;  ///< painted along the loss's edge, where asked for
  Painted painted;
};

struct ImagePreviewAnswer {
  PhotoStatement photo;
  std::optional<double> pixels_per_mm;
  GroundAnalysis ground;  ///< around the loss
  std::string light;      ///< whose differences were painted; empty: a colour as given
  int observer_deg = 2;
  std::vector<PreviewedFill> fills;  ///< the one asked for first, then the strip's
  std::vector<std::string> pictures;
  std::vector<std::string> warnings;
};

/// A predicted fill put into a photograph. Fills from the bench are painted as a difference from
/// the sheet: the predicted difference under the viewing light, both colours adapted to the
/// display's D50 (Bradford), is added to the tone that the photograph itself has around the loss,
/// so that the camera's own error falls out.
Result<ImagePreviewAnswer> image_preview(const ImagePreviewRequest& request);

std::string to_text(const ImagePreviewAnswer&);
std::string to_json(const ImagePreviewAnswer&);
std::string to_csv(const ImagePreviewAnswer&);
inline bool has_answer(const ImagePreviewAnswer&) {
  return true;
}

}  // namespace mendtone::app
