#pragma once
#include <array>
#include <string>
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/colour/lab.hpp"
#include "mendtone/imaging/pixels.hpp"
#include "mendtone/imaging/region.hpp"

namespace mendtone {

/// The patches of a colour target as a grid: its four outer corners (top left, top right, bottom
/// right, bottom left), `columns` x `rows` cells, of each the inner `part` of its width and height
/// (0 < part <= 1). Row by row from the top left. Perspective is followed. Refuses corners that
/// make no quadrilateral, or patches that hold no pixel.
Result<std::vector<Region>> grid_patches(const std::array<Point, 4>& corners, int columns, int rows,
                                         double part, ImageSize picture);

/// The mean light of a region (averaged as X, Y, Z, as an instrument's aperture does).
struct RegionColour {
  std::string name;
  std::size_t pixels = 0;
  Lab lab;
  Point centre;
  double spread_dL = 0;  ///< standard deviation of the pixels' L*: noise, dust, texture
};

/// One pass over the picture for all of them, in their order.
Result<std::vector<RegionColour>> region_colours(RowReader& picture,
                                                 const std::vector<Region>& regions);

/// A colour target as photographed against what it is.
struct TargetFigures {
  std::vector<double> de00;                          ///< a patch each
  double mean_de00 = 0, p90_de00 = 0, max_de00 = 0;  ///< p90: linear between ranks
  std::size_t worst = 0;                             ///< index of the worst patch
  std::size_t neutrals = 0;                          ///< reference C*ab at most 3
  double balance_mean = 0, balance_max = 0;          ///< neutrals: distance in a*, b*
  double mean_dL = 0;
  double tilt_dL = 0;  ///< range over the target of the plane fitted to dL*
};

/// Contract: as many references as patches, at least 3.
TargetFigures target_figures(const std::vector<RegionColour>& patches,
                             const std::vector<Lab>& reference);

}  // namespace mendtone
