#pragma once
#include <optional>
#include <string>
#include <vector>

#include "mendtone/optics/layer.hpp"
#include "mendtone/spectral/reading.hpp"

namespace mendtone {

/// A sheet whose body is known: absorption and scattering of one ply, band by band (whole ply,
/// no unit). A mending tissue, or the object's own sheet read over two backings.
struct Ply {
  WavelengthGrid grid;
  std::vector<double> K, S;
  /// Bands where the two readings differed by less than 0.001: opaque, S not determined. K and S
  /// there reproduce R-infinity; transmission is not known.
  std::vector<bool> opaque;
};

/// `plies` of it as one slab per band (identical plies: a layer `plies` times as thick).
std::vector<Slab> stacked(const Ply& ply, int plies);

}  // namespace mendtone
