#pragma once
#include <optional>
#include <string>
#include <vector>

#include "mendtone/app/image/image.hpp"
#include "mendtone/app/inputs/viewing.hpp"
#include "mendtone/colour/lab.hpp"
#include "mendtone/imaging/reduced.hpp"

namespace mendtone::app {

/// A fill seen in its place, quickly and as often as a person chooses another.
struct FillWindowRequest {
  PhotoRequest photo;  ///< its own profile must also lead back from colour to pixels
  /// The loss: as `region_from` takes it, or corners as "x,y x,y x,y", polygons parted by ';'.
  std::string loss;
  /// The fill's colour under the viewing light; nothing: the place as it is.
  std::optional<Lab> lab;
  /// The sheet's colour under the same light: then the difference of the two is painted onto the
  /// tone that the photograph itself has around the loss, so that the camera's own error falls out.
  std::optional<Lab> sheet_lab;
  results::ViewingRequest viewing;  ///< one light; none named: D65
  int most_px = 1200;               ///< of the longer side
};

struct FillWindow {
  Window place;    ///< in the photograph
  int factor = 1;  ///< pixels of the photograph to one of `picture`
  LabPicture picture;
  std::vector<std::string> warnings;  ///< of a painted fill: what it is not to be judged by
};

/// The loss with as much again around it. The soft edge is 0.3 mm wide and the paper's tone is
/// taken from 1 to 6 mm around the loss, as in `image_preview`; 1 pixel, and 4 to 40, where the
/// photograph does not say its scale.
Result<FillWindow> fill_window(const FillWindowRequest& request, const InputPlace& place);

}  // namespace mendtone::app
