#include "mendtone/optics/interface.hpp"

#include <cassert>
#include <cmath>

namespace mendtone {
namespace {

/// Both ways through the surface: into the layer (1 - ke), out of it (1 - k2).
double both_ways(const InterfaceCorrection& i) {
  return (1 - i.ke) * (1 - i.k2);
}

/// The surface as a slab, air in front. Light crosses it once each way or in by one face and out
/// by another, so only the product of the two crossings ever counts: its root stands for each.
Slab surface(const InterfaceCorrection& i) {
  return {i.ke, i.k2, std::sqrt(both_ways(i))};
}

Slab turned(const Slab& s) {
  return {s.R21, s.R12, s.T};
}

/// What is inside a surface that returns R in all.
double inside(const InterfaceCorrection& i, double R) {
  return i.inward(R + i.seen_gloss());
}

}  // namespace

double InterfaceCorrection::outward(double R) const {
  return k1 + (1 - ke) * (1 - k2) * R / (1 - k2 * R);
}

double InterfaceCorrection::outward_slope(double R) const {
  const double d = 1 - k2 * R;
  return (1 - ke) * (1 - k2) / (d * d);
}

double InterfaceCorrection::inward(double Rm) const {
  return (Rm - k1) / ((1 - ke) * (1 - k2) + k2 * (Rm - k1));
}

Slab in_air(const Slab& layer, const InterfaceCorrection& i) {
  if (i.none()) return layer;
  return in_front(in_front(surface(i), layer), turned(surface(i)));
}

// Lit equally from both sides a symmetric layer returns R + T, lit in opposition R - T; each of
// the two meets the surface like a reflectance of its own.
Slab inside_of(const Slab& layer, const InterfaceCorrection& i) {
  if (i.none()) return layer;
  const double sum = inside(i, layer.R12 + layer.T), difference = inside(i, layer.R12 - layer.T);
  const double R = (sum + difference) / 2;
  return {R, R, (sum - difference) / 2};
}

Slab pile(const Slab& ply, int plies, Joint joint, const InterfaceCorrection& i) {
  assert(plies >= 1);
  const Slab one = joint == Joint::air ? in_air(ply, i) : ply;
  Slab all = one;
  for (int n = 1; n < plies; ++n) all = in_front(one, all);
  return joint == Joint::air ? all : in_air(all, i);
}

}  // namespace mendtone
