#pragma once
#include <string_view>

#include "mendtone/optics/many_flux.hpp"

namespace mendtone {

/// How a homogeneous layer is computed, and with it what its two numbers are.
enum class LayerModel {
  two_fluxes,         ///< K and S of Kubelka: `layer`
  many_fluxes_45_0,   ///< absorption and scattering a path, read 45:0: `many_flux`
  many_fluxes_sphere  ///< the same, read in a sphere
};
std::string_view name_of(LayerModel);

LayerModel many_fluxes(Viewing viewing);
/// Of a model of many fluxes. Contract: not two_fluxes.
Viewing viewing_of(LayerModel model);

/// The slab of that model, and its slopes along the two numbers. Contract: both >= 0.
Slab slab_of(LayerModel model, double absorption, double scattering);
SlabSlopes slab_slopes_of(LayerModel model, double absorption, double scattering);

/// What the instrument reads of a slab over a matt backing of reflectance Rg, with its slopes.
struct OverSlopes {
  double R = 0, by_absorption = 0, by_scattering = 0;
};
OverSlopes over_slopes(const SlabSlopes& slab, double Rg);

}  // namespace mendtone
