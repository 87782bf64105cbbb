#include "mendtone/optics/layer_model.hpp"

#include <cassert>

namespace mendtone {
namespace {

constexpr std::string_view model_names[] = {"two_fluxes", "many_fluxes_45_0", "many_fluxes_sphere"};

/// How all numbers of a slab of diffuse light change where R12 and T change so.
Slab diffuse_slope(double dR, double dT) {
  return {dR, dR, dT};
}

}  // namespace

std::string_view name_of(LayerModel model) {
  return model_names[static_cast<int>(model)];
}

LayerModel many_fluxes(Viewing viewing) {
  return viewing == Viewing::at_45_0 ? LayerModel::many_fluxes_45_0
                                     : LayerModel::many_fluxes_sphere;
}

Viewing viewing_of(LayerModel model) {
  assert(model != LayerModel::two_fluxes);
  return model == LayerModel::many_fluxes_45_0 ? Viewing::at_45_0 : Viewing::diffuse_8;
}

Slab slab_of(LayerModel model, double absorption, double scattering) {
  if (model == LayerModel::two_fluxes) return layer(absorption, scattering);
  return many_flux({absorption, scattering}, viewing_of(model));
}

SlabSlopes slab_slopes_of(LayerModel model, double absorption, double scattering) {
  if (model != LayerModel::two_fluxes)
    return many_flux_slopes({absorption, scattering}, viewing_of(model));
  const LayerSlopes two = layer_slopes(absorption, scattering);
  return {Slab(two.R, two.R, two.T), diffuse_slope(two.dR_dK, two.dT_dK),
          diffuse_slope(two.dR_dS, two.dT_dS)};
}

// R = seen + in out Rg / (1 - R21 Rg)
OverSlopes over_slopes(const SlabSlopes& slab, double Rg) {
  const Slab& at = slab.at;
  const double many = Rg / (1 - at.R21 * Rg);
  const auto slope = [&](const Slab& by) {
    return by.seen + many * (by.in * at.out + at.in * by.out + at.in * at.out * many * by.R21);
  };
  return {at.seen + at.in * at.out * many, slope(slab.by_absorption), slope(slab.by_scattering)};
}

}  // namespace mendtone
