#include "mendtone/optics/many_flux.hpp"

#include <cassert>
#include <cmath>

#include "base/clones.hpp"
#include "optics/many_flux_table.hpp"

namespace mendtone {
namespace {

const table::Tables& tables_of(Viewing viewing) {
  return viewing == Viewing::at_45_0 ? table::at_45_0 : table::diffuse_8;
}

/// Ratios at a place and, where asked for, their slopes along absorption and scattering.
struct Ratios {
  double at[table::slots], by_K[table::slots], by_S[table::slots];
};

/// The sum of k_i s_j times the 4 x 4 nodes from `first` on, all ratios at once.
MENDTONE_CLONES
void weighed(const double* first, const double (&k)[4], const double (&s)[4],
             double (&sum)[table::slots]) {
  // Four sums side by side: none waits for the other.
  double at[4][table::slots];
  for (int i = 0; i < 4; ++i)
    for (int q = 0; q < table::slots; ++q) {
      const double* node = first + i * table::coefficients * table::slots + q;
      at[i][q] = s[0] * node[0] + s[1] * node[table::slots] +
                 (s[2] * node[2 * table::slots] + s[3] * node[3 * table::slots]);
    }
  for (int q = 0; q < table::slots; ++q)
    sum[q] = (k[0] * at[0][q] + k[1] * at[1][q]) + (k[2] * at[2][q] + k[3] * at[3][q]);
}

template <bool slopes>
Ratios in_table(const table::Tables& tables, double K, double S) {
  const table::Reach k = table::reach(table::absorption, K);
  const table::Reach s = table::reach(table::scattering, S);
  const double* first = &tables.spline[static_cast<std::size_t>(
      (k.first * table::coefficients + s.first) * table::slots)];
  Ratios r;
  weighed(first, k.weight, s.weight, r.at);
  if constexpr (slopes) {
    weighed(first, k.slope, s.weight, r.by_K);
    weighed(first, k.weight, s.slope, r.by_S);
  }
  return r;
}

// Where scattering is very much, light diffuses: with K S held, all ratios go straight to their
// limits in 1 / S.
template <bool slopes>
Ratios nearly_endless(const table::Tables& tables, double K, double S) {
  const double most = table::scattering.most, share = most / S;
  Ratios r = in_table<slopes>(tables, K * S / most, most);
  for (int q = 0; q < table::quantities; ++q) {
    const double apart = r.at[q] - tables.endless[static_cast<std::size_t>(q)];
    r.at[q] = tables.endless[static_cast<std::size_t>(q)] + share * apart;
    if constexpr (slopes) {
      r.by_S[q] = share * (r.by_K[q] * K / most - apart / S);
      r.by_K[q] *= share * S / most;
    }
  }
  return r;
}

template <bool slopes>
Ratios not_deep(const table::Tables& tables, double K, double S) {
  return S > table::scattering.most ? nearly_endless<slopes>(tables, K, S)
                                    : in_table<slopes>(tables, K, S);
}

template <bool slopes>
Ratios ratios(const table::Tables& tables, double K, double S) {
  constexpr double most = table::deepest * table::deepest;
  const double depth2 = 3 * K * (K + S);
  if (depth2 <= most) return not_deep<slopes>(tables, K, S);
  const double thinner = std::sqrt(depth2 / most);
  Ratios r = not_deep<slopes>(tables, K / thinner, S / thinner);
  if constexpr (!slopes) return r;
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

/// All scatterings for one of the reduced, as the streams count them.
const double events =
    (1 - std::pow(tabulated_phase.g, 2 * tabulated_streams)) / (1 - tabulated_phase.g);

/// What comes straight through along a line.
Along straight(double K, double S, double cosine) {
  const double through = std::exp(-(K + events * S) / cosine);
  return {through, -through / cosine, -events * through / cosine};
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
  const Ratios r = ratios<true>(tables_of(viewing), K, S);
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
  put(slab, &Slab::straight_in, beam ? straight(K, S, cosine_45) : Along{0, 0, 0});
  put(slab, &Slab::straight_out, straight(K, S, beam ? 1 : cosine_8));
  return slab;
}

Slab many_flux(const Path& path, Viewing viewing) {
  const double K = path.absorption, S = path.scattering;
  assert(K >= 0 && S >= 0);
  const Ratios r = ratios<false>(tables_of(viewing), K, S);
  Slab slab = layer(2 * K * r.at[table::K_ratio], S * r.at[table::S_ratio]);
  slab.seen = slab.R12 * r.at[table::seen_ratio];
  slab.in = slab.T * r.at[table::in_ratio];
  slab.out = slab.T * r.at[table::out_ratio];
  slab.thrown = slab.R12 * r.at[table::thrown_ratio];
  slab.lit = slab.R12 * r.at[table::lit_ratio];
  const bool beam = viewing == Viewing::at_45_0;
  if (beam) slab.straight_in = straight(K, S, cosine_45).at;
  slab.straight_out = straight(K, S, beam ? 1 : cosine_8).at;
  return slab;
}

}  // namespace mendtone
