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

/// All scatterings for one of the reduced, as the streams count them.
const double events =
    (1 - std::pow(tabulated_phase.g, 2 * tabulated_streams)) / (1 - tabulated_phase.g);

/// What comes straight through along a line.
Along straight(double K, double S, double cosine) {
  const double through = std::exp(-(K + events * S) / cosine);
  return {through, -through / cosine, -events * through / cosine};
}

void put(LitSlabSlopes& into, double LitSlab::*number, const Along& x) {
  into.at.*number = x.at;
  into.by_absorption.*number = x.by_K;
  into.by_scattering.*number = x.by_S;
}

}  // namespace

LitSlabSlopes many_flux_slopes(const Path& path, Viewing viewing) {
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
  LitSlabSlopes slab;
  put(slab, &LitSlab::R12, R);
  put(slab, &LitSlab::R21, R);
  put(slab, &LitSlab::T, T);
  put(slab, &LitSlab::seen, times(r, table::seen_ratio, R));
  put(slab, &LitSlab::in, times(r, table::in_ratio, T));
  put(slab, &LitSlab::out, times(r, table::out_ratio, T));
  put(slab, &LitSlab::thrown, times(r, table::thrown_ratio, R));
  put(slab, &LitSlab::lit, times(r, table::lit_ratio, R));
  const bool beam = viewing == Viewing::at_45_0;
  put(slab, &LitSlab::straight_in, beam ? straight(K, S, cosine_45) : Along{0, 0, 0});
  put(slab, &LitSlab::straight_out, straight(K, S, beam ? 1 : cosine_8));
  return slab;
}

LitSlab many_flux(const Path& path, Viewing viewing) {
  return many_flux_slopes(path, viewing).at;
}

// R = seen + in out Rg (1 + Rg R21 + (Rg R21)^2 ...)
double over(const LitSlab& slab, double Rg) {
  return slab.seen + slab.in * slab.out * Rg / (1 - slab.R21 * Rg);
}

// With `down` the diffuse light between the two that goes down, what the eye sees of the one behind
// is `lit` of it straight through the front, and R12 of it through the front's scattering.
LitSlab in_front(const LitSlab& f, const LitSlab& g) {
  const double many = 1 / (1 - f.R21 * g.R12);
  const double eye = f.straight_out * g.lit + (f.out - f.straight_out) * g.R12;
  // The lamp's light: its beam, and what the front has scattered; echoes between the two.
  const double beam = f.straight_in, scattered = f.in - beam;
  const double up = beam * g.thrown + scattered * g.R12;
  const double echo = f.R21 * (up * many);
  LitSlab both(in_front(static_cast<const Slab&>(f), static_cast<const Slab&>(g)));
  both.seen = f.seen + beam * (f.straight_out * g.seen + (f.out - f.straight_out) * g.thrown) +
              (scattered + echo) * eye;
  both.in = beam * g.in + (scattered + echo) * g.T;
  both.out = f.straight_out * g.out + (f.out - f.straight_out) * g.T + g.T * f.R21 * many * eye;
  both.thrown = f.thrown + f.T * up * many;
  both.lit = f.lit + f.T * many * eye;
  both.straight_in = beam * g.straight_in;
  both.straight_out = f.straight_out * g.straight_out;
  return both;
}

namespace {

/// a + sign b, number by number.
LitSlab moved(LitSlab a, double sign, const LitSlab& b) {
  for (double LitSlab::*number : {&LitSlab::seen, &LitSlab::in, &LitSlab::out, &LitSlab::thrown,
                                  &LitSlab::lit, &LitSlab::straight_in, &LitSlab::straight_out})
    a.*number += sign * b.*number;
  for (double Slab::*number : {&Slab::R12, &Slab::R21, &Slab::T}) a.*number += sign * b.*number;
  return a;
}

}  // namespace

LitSlab many_flux_in_contact(const Path& front, const Path& behind, Viewing viewing) {
  const auto depth = [](const Path& p) { return p.absorption + events * p.scattering; };
  const Path both{front.absorption + behind.absorption, front.scattering + behind.scattering};
  if (depth(both) == 0) return many_flux(both, viewing);
  const double share = depth(front) / depth(both);
  const Path like_front{share * both.absorption, share * both.scattering};
  const Path like_behind{both.absorption - like_front.absorption,
                         both.scattering - like_front.scattering};
  const LitSlab between = in_front(many_flux(front, viewing), many_flux(behind, viewing));
  const LitSlab like = in_front(many_flux(like_front, viewing), many_flux(like_behind, viewing));
  return moved(moved(between, 1, many_flux(both, viewing)), -1, like);
}

}  // namespace mendtone
