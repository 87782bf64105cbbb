#pragma once
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "mendtone/materials/tissue.hpp"

namespace mendtone {

/// The place into which added material is put, per band: what lies behind it and what lies on top.
///   loss: below = the backing;                    above = nothing
///   tear or lining, tissue behind: below = the backing; above = the sheet
///   tear, tissue in front: below = the sheet over the backing; above = nothing
struct Setting {
  WavelengthGrid grid;
  std::vector<double> below;         ///< reflectance behind the added material
  std::vector<Slab> above;           ///< empty: nothing above
};

/// Reflectance seen when `fill` (one slab per band) stands in `setting`.
std::vector<double> seen(const Setting& setting, std::span<const Slab> fill);

}  // namespace mendtone
