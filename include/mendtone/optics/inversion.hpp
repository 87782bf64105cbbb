#pragma once
#include "mendtone/optics/layer.hpp"

namespace mendtone {

/// One reading of a layer over a backing, one band: both as fractions.
struct OverBacking {
  double R = 0;   ///< of the layer over the backing
  double Rg = 0;  ///< of the backing alone
};

/// What two readings over two backings say of a layer.
enum class BodyKind {
  determined,
  opaque,         ///< the readings differ by less than `opaque_below`: S is not determined
  no_absorption,  ///< noise made K negative; K is 0 and S fits both readings best
  no_scattering,  ///< noise made S negative; S is 0 and K fits both readings best
  impossible      ///< no layer reads like this, within `impossible_beyond`
};

/// Readings that differ by less than this tell nothing of what shines through.
inline constexpr double opaque_below = 0.001;
/// A misfit above this is worth a word: the order of an instrument's repeatability when it is
/// lifted and re-seated (common practice, no source).
inline constexpr double reading_noise = 0.005;
/// A misfit above this is no noise: a wrong backing, a swapped reading, or a brightener.
inline constexpr double impossible_beyond = 0.02;

struct LayerFound {
  double KX = 0, SX = 0;  ///< of the whole layer; opaque: any thick layer of the right R-infinity
  BodyKind body = BodyKind::determined;
  double misfit = 0;  ///< the larger of |predicted - read| over the two readings
};

/// K and S of a homogeneous layer from two readings over two known backings; exact, also where R
/// is above R-infinity, where K = 0 and where S = 0. `impossible` where the light backing is not
/// the lighter one. Ref: kubelka1948
LayerFound layer_from_two_backings(const OverBacking& dark, const OverBacking& light);

/// R and T of that layer, before any noise is put right: T2 is T squared. Linear in R0, so exact.
struct ReadThrough {
  double R0 = 0, T2 = 0;
};
ReadThrough through_two_backings(const OverBacking& dark, const OverBacking& light);

/// KX and SX of a homogeneous layer of known reflectance over nothing and transmittance.
/// Contract: 0 <= R0, 0 < T, R0 + T <= 1. Ref: kubelka1948
struct LayerCoefficients {
  double KX = 0, SX = 0;
};
LayerCoefficients coefficients(double R0, double T);

/// A layer so thick that nothing shines through, of reflectance `R_infinity` in [0, 1).
LayerCoefficients opaque_layer(double R_infinity);

/// KX of a layer of known SX from one reading over one backing; 0 where even a layer that absorbs
/// nothing would read darker. Ref: kubelka1948
double absorption_from(const OverBacking& reading, double SX);

/// A sheet whose faces differ, from readings of both faces over the same two backings: R12, R21
/// and T by least squares over the four; `misfit` is the largest residual.
struct SlabFound {
  Slab slab;
  double misfit = 0;
  bool opaque = false;  ///< neither face saw the backing through it; T is 0 and not known
};
SlabFound slab_from_both_faces(const OverBacking& front_dark, const OverBacking& front_light,
                               const OverBacking& back_dark, const OverBacking& back_light);

}  // namespace mendtone
