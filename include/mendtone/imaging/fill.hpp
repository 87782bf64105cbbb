#pragma once
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/colour/lab.hpp"
#include "mendtone/imaging/pixels.hpp"
#include "mendtone/imaging/region.hpp"

namespace mendtone {

/// XYZ seen under one white brought to another, as the eye adapts. Ref: lam1985 (Bradford, linear)
Xyz adapt(const Xyz& xyz, const Xyz& from_white, const Xyz& to_white);

/// A tone laid over part of the fill: its difference from the base and the share of the area.
struct Stipple {
  Lab shift;
  double share = 0;
};

/// A fill as it will be painted into a photograph; D50/2 degrees.
struct FillPaint {
  Lab base;
  Lab sheet;                     ///< paper around the loss: what a soft edge fades into
  std::vector<Stipple> stipple;  ///< shares add up to less than 1
  double grain_px = 8;           ///< size of the stippling
  double feather_px = 0;         ///< width of the soft edge, half on each side of the loss's edge
  double overlap_px = 0;         ///< width of the margin outside, where tissue and sheet overlap
  Lab overlap_shift;             ///< what the overlap adds to the sheet's own colour
};

struct Painted {
  std::size_t pixels = 0;        ///< changed
  std::size_t out_of_gamut = 0;  ///< of those, cut to the profile's gamut
};

/// Paints a fill into rows of 16-bit codes; all other pixels stay bit for bit. The same every time.
class FillPainter {
 public:
  /// Refuses what `distance_field` refuses. Contract: `transform.writable()`, and outlives this.
  static Result<FillPainter> plan(const Region& loss, const FillPaint& paint,
                                  const PixelTransform& transform, ImageSize picture);
  /// `row`: the interleaved codes of the whole of row y.
  void paint(int y, std::uint16_t* row, Painted& count) const;

 private:
  FillPainter(DistanceField field, FillPaint paint, const PixelTransform& transform);
  Lab tone_at(int x, int y) const;

  DistanceField field_;
  FillPaint paint_;
  std::vector<double> limits_;  ///< of the noise, one a stipple
  const PixelTransform* transform_;
};

}  // namespace mendtone
