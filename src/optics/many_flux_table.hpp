#pragma once
#include <algorithm>
#include <array>
#include <cmath>

// The tables behind many_flux: what they hold and where. The program that makes them and the code
// that reads them share this.

namespace mendtone::table {

/// Diffuse light goes through a slab nearly as two fluxes would have it, of a K and S of their own,
/// and a beam nearly as diffuse light. The tables hold how nearly, which is smooth everywhere.
enum Quantity {
  K_ratio,
  S_ratio,
  seen_ratio,
  in_ratio,
  out_ratio,
  thrown_ratio,
  lit_ratio,
  quantities
};
/// One more, so that they fill vector registers.
inline constexpr int slots = 8;

inline constexpr int nodes = 53, coefficients = nodes + 2;

/// Nodes are even in log(1 + x / near), the first at 0 and the last at `most`.
struct Axis {
  double near, most, per_node;
  double per_near, nodes_per;  ///< one over near, and over per_node: divisions are slow
  Axis(double near_zero, double last)
      : near(near_zero),
        most(last),
        per_node(std::log1p(last / near_zero) / (nodes - 1)),
        per_near(1 / near_zero),
        nodes_per(1 / per_node) {}
  double node(int i) const { return near * std::expm1(i * per_node); }
};

/// A slab of sqrt(3 K (K + S)) beyond this lets 1e-13 through: only K / S matters, so that a
/// thinner one of the same K / S tells its ratios. The last absorption is beyond deepest / sqrt(3).
inline constexpr double deepest = 30;
inline const Axis absorption(1.0 / 96, 17.5), scattering(1.0 / 64, 1024);

struct Tables {
  /// Cubic B-spline coefficients: [absorption][scattering][slot].
  alignas(64) std::array<double, coefficients * coefficients * slots> spline;
  /// Where scattering has no end.
  std::array<double, slots> endless;
};

/// A place between nodes and the four splines that reach it, with their slopes along x itself.
struct Reach {
  int first;
  double weight[4], slope[4];
};
inline Reach reach(const Axis& axis, double x) {
  const double u = std::log(1 + x * axis.per_near) * axis.nodes_per;
  const int cell = std::min(static_cast<int>(u), nodes - 2);
  const double t = u - cell, s = 1 - t;
  const double by_x = 1 / (axis.per_node * (axis.near + x));
  return {
      cell,
      {s * s * s / 6, (4 + t * t * (3 * t - 6)) / 6, (4 + s * s * (3 * s - 6)) / 6, t * t * t / 6},
      {-s * s / 2 * by_x, t * (3 * t - 4) / 2 * by_x, -s * (3 * s - 4) / 2 * by_x,
       t * t / 2 * by_x}};
}

/// Made when the program is built, by tables/make_many_flux.cxx.
extern const Tables at_45_0, diffuse_8;

}  // namespace mendtone::table
