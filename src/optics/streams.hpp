#pragma once
#include <Eigen/Dense>

#include "mendtone/optics/many_flux.hpp"

namespace mendtone {

/// What a slab does to light between directions: radiance out along `i` for a unit of flux in along
/// `j`, so both are symmetric; light that passes straight through is apart. A radiance of 1 in all
/// directions is a flux of 1.
struct Operators {
  Eigen::MatrixXd reflect, transmit;
  Eigen::VectorXd straight;
};

/// The radiative transfer equation in discrete directions, averaged over azimuth. `streams` Gauss
/// directions fill each hemisphere; the last three carry no weight and are only looked along: the
/// normal, 8 and 45 degrees. Ref: vandehulst1980
class Streams {
 public:
  Streams(int streams, const Phase& phase);

  /// By doubling, from a layer so thin that its series has converged to rounding.
  Operators slab(double absorption, double scattering) const;
  /// One slab on another. Both as from `slab`, of these streams.
  Operators in_front(const Operators& front, const Operators& behind) const;
  /// Those of the same slab seen from its back are its own where it is homogeneous.
  Slab seen(const Operators& slab, Viewing viewing) const;

  Eigen::Index normal() const { return mu_.size() - 3; }
  Eigen::Index at_8() const { return mu_.size() - 2; }
  Eigen::Index at_45() const { return mu_.size() - 1; }
  const Eigen::VectorXd& mu() const { return mu_; }
  /// Flux of each direction in a radiance of 1: 2 mu w.
  const Eigen::VectorXd& flux() const { return flux_; }

 private:
  Operators thin(double absorption, double scattering, int parts) const;
  Operators doubled(const Operators& slab) const;

  Eigen::VectorXd mu_, flux_;
  Eigen::MatrixXd forward_, backward_;  ///< phase function, averaged over azimuth
  double scattered_ = 1;  ///< share of the reduced scattering that the truncated phase function has
};

}  // namespace mendtone
