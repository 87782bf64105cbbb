#include "mendtone/optics/many_flux.hpp"

#include <cassert>
#include <cmath>

#include "optics/many_flux_table.hpp"

namespace mendtone {
namespace {

/// Ratios at a place and their slopes along absorption and scattering.
struct Ratios {
  double at[table::slots], by_K[table::slots], by_S[table::slots];
};

Ratios in_table(const table::Tables& tables, double K, double S) {
  const table::Reach k = table::reach(table::absorption, K);
  const table::Reach s = table::reach(table::scattering, S);
  Ratios r{};
  for (int i = 0; i < 4; ++i) {
    const double* node = &tables.spline[static_cast<std::size_t>(
        ((k.first + i) * table::coefficients + s.first) * table::slots)];
    double value[table::slots] = {}, slope[table::slots] = {};
    for (int j = 0; j < 4; ++j, node += table::slots)
      for (int q = 0; q < table::slots; ++q) {
        value[q] += s.weight[j] * node[q];
        slope[q] += s.slope[j] * node[q];
      }
    for (int q = 0; q < table::slots; ++q) {
      r.at[q] += k.weight[i] * value[q];
      r.by_K[q] += k.slope[i] * value[q];
      r.by_S[q] += k.weight[i] * slope[q];
    }
  }
  return r;
}

// Where scattering is very much, light diffuses: with K S held, all ratios go straight to their
// limits in 1 / S.
Ratios nearly_endless(const table::Tables& tables, double K, double S) {
  const double most = table::scattering.most, share = most / S;
  Ratios r = in_table(tables, K * S / most, most);
  for (int q = 0; q < table::quantities; ++q) {
    const double apart = r.at[q] - tables.endless[static_cast<std::size_t>(q)];
    r.at[q] = tables.endless[static_cast<std::size_t>(q)] + share * apart;
    r.by_S[q] = share * (r.by_K[q] * K / most - apart / S);
    r.by_K[q] *= share * S / most;
  }
  return r;
}

Ratios not_deep(const table::Tables& tables, double K, double S) {
  return S > table::scattering.most ? nearly_endless(tables, K, S) : in_table(tables, K, S);
}

Ratios ratios(const table::Tables& tables, double K, double S) {
  constexpr double most = table::deepest * table::deepest;
  const double depth2 = 3 * K * (K + S);
  if (depth2 <= most) return not_deep(tables, K, S);
  const double thinner = std::sqrt(depth2 / most);
  Ratios r = not_deep(tables, K / thinner, S / thinner);
  const double thinner_K = 1.5 * (2 * K + S) / depth2, thinner_S = 1.5 * K / depth2;  // d ln / d
  for (int q = 0; q < table::quantities; ++q) {
    const double along = r.by_K[q] * K + r.by_S[q] * S;
    r.by_K[q] = (r.by_K[q] - along * thinner_K) / thinner;
    r.by_S[q] = (r.by_S[q] - along * thinner_S) / thinner;
  }
  return r;
}

/// A value with its slopes.
struct Along {
  double at, by_K, by_S;
};
Along times(const Ratios& r, int q, const Along& x) {
  return {x.at * r.at[q], x.by_K * r.at[q] + x.at * r.by_K[q], x.by_S * r.at[q] + x.at * r.by_S[q]};
}

/// Cosines of the eye's and the lamp's lines to the normal.
const double cosine_8 = std::cos(8 * std::acos(-1.0) / 180), cosine_45 = std::sqrt(0.5);

/// What comes straight through along a line; both slopes are alike.
Along straight(double depth, double cosine) {
  const double through = std::exp(-depth / cosine);
  return {through, -through / cosine, -through / cosine};
}

void put(SlabSlopes& into, double Slab::*number, const Along& x) {
  into.at.*number = x.at;
  into.by_absorption.*number = x.by_K;
  into.by_scattering.*number = x.by_S;
}

}  // namespace

SlabSlopes many_flux_slopes(const Path& path, Viewing viewing) {
  const double K = path.absorption, S = path.scattering;
  assert(K >= 0 && S >= 0);
  const Ratios r = ratios(viewing == Viewing::at_45_0 ? table::at_45_0 : table::diffuse_8, K, S);
  const Along k = times(r, table::K_ratio, {2 * K, 2, 0});
  const Along s = times(r, table::S_ratio, {S, 0, 1});
  const LayerSlopes two = layer_slopes(k.at, s.at);
  const Along R{two.R, two.dR_dK * k.by_K + two.dR_dS * s.by_K,
                two.dR_dK * k.by_S + two.dR_dS * s.by_S};
  const Along T{two.T, two.dT_dK * k.by_K + two.dT_dS * s.by_K,
                two.dT_dK * k.by_S + two.dT_dS * s.by_S};
  SlabSlopes slab;
  put(slab, &Slab::R12, R);
  put(slab, &Slab::R21, R);
  put(slab, &Slab::T, T);
  put(slab, &Slab::seen, times(r, table::seen_ratio, R));
  put(slab, &Slab::in, times(r, table::in_ratio, T));
  put(slab, &Slab::out, times(r, table::out_ratio, T));
  put(slab, &Slab::thrown, times(r, table::thrown_ratio, R));
  put(slab, &Slab::lit, times(r, table::lit_ratio, R));
  const bool beam = viewing == Viewing::at_45_0;
  put(slab, &Slab::straight_in, beam ? straight(K + S, cosine_45) : Along{0, 0, 0});
  put(slab, &Slab::straight_out, straight(K + S, beam ? 1 : cosine_8));
  return slab;
}

Slab many_flux(const Path& path, Viewing viewing) {
  return many_flux_slopes(path, viewing).at;
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

}  // namespace mendtone
