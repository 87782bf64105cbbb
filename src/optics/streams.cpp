#include "optics/streams.hpp"

#include <cassert>
#include <cmath>
#include <vector>

namespace mendtone {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr Index looked_along = 3;

/// Gauss's directions and weights on (0, 1), by Golub and Welsch's eigenvalues.
void gauss(Index n, VectorXd& mu, VectorXd& weight) {
  MatrixXd jacobi = MatrixXd::Zero(n, n);
  for (Index i = 0; i < n; ++i) jacobi(i, i) = 0.5;
  for (Index i = 1; i < n; ++i) {
    const double m = static_cast<double>(i);
    jacobi(i, i - 1) = jacobi(i - 1, i) = 0.5 * m / std::sqrt(4 * m * m - 1);
  }
  const Eigen::SelfAdjointEigenSolver<MatrixXd> solver(jacobi);
  mu.head(n) = solver.eigenvalues();
  weight.head(n) = solver.eigenvectors().row(0).transpose().array().square();
}

/// Legendre's polynomials at mu, one a column.
MatrixXd legendre(const VectorXd& mu, Index count) {
  MatrixXd P(mu.size(), count);
  P.col(0).setOnes();
  P.col(1) = mu;
  for (Index l = 2; l < count; ++l) {
    const double m = static_cast<double>(l);
    P.col(l) = ((2 * m - 1) * mu.cwiseProduct(P.col(l - 1)) - (m - 1) * P.col(l - 2)) / m;
  }
  return P;
}

Operators mixed(const Operators& a, double share_a, const Operators& b, double share_b) {
  return {share_a * a.reflect + share_b * b.reflect, share_a * a.transmit + share_b * b.transmit,
          share_a * a.straight + share_b * b.straight};
}

}  // namespace

Viewing viewing_of(Geometry stated) {
  return stated == Geometry::unknown || stated == Geometry::directional ? Viewing::at_45_0
                                                                        : Viewing::diffuse_8;
}

Streams::Streams(int streams, const Phase& phase) {
  assert(streams >= 1 && streams <= 64 && std::abs(phase.g) < 1);
  const Index n = streams;
  mu_ = VectorXd::Zero(n + looked_along);
  VectorXd weight = VectorXd::Zero(n + looked_along);
  gauss(n, mu_, weight);
  const double degree = std::acos(-1.0) / 180;
  mu_.tail(looked_along) << 1, std::cos(8 * degree), std::cos(45 * degree);
  flux_ = 2 * mu_.cwiseProduct(weight);

  // 2 n moments are resolved; the 2n-th and all beyond are a peak straight ahead (Wiscombe 1977).
  const Index moments = 2 * n;
  const double peak = std::pow(phase.g, static_cast<double>(moments));
  scattered_ = (1 - peak) / (1 - phase.g);
  const MatrixXd P = legendre(mu_, moments);
  forward_ = backward_ = MatrixXd::Zero(mu_.size(), mu_.size());
  double power = 1, sign = 1;
  for (Index l = 0; l < moments; ++l) {
    const double moment = (2 * static_cast<double>(l) + 1) * (power - peak) / (1 - peak);
    const MatrixXd term = moment * P.col(l) * P.col(l).transpose();
    forward_ += term;
    backward_ += sign * term;
    power *= phase.g;
    sign = -sign;
  }
}

// mu dI/dz = -(K + S) I + S/2 sum w p I, averaged over a layer as half of what enters and half of
// what leaves. The result keeps every photon and errs in even powers of the depth only.
Operators Streams::thin(double K, double S, int parts) const {
  const double depth = 1.0 / parts;
  const VectorXd half = depth * (K + S) / 2 * mu_.cwiseInverse();
  // S/2 w p / mu over half the layer, as radiance from flux 2 mu w.
  const MatrixXd per_flux = (depth * S / 8 * mu_.cwiseInverse()) * mu_.cwiseInverse().transpose();
  const MatrixXd ahead = per_flux.cwiseProduct(forward_), back = per_flux.cwiseProduct(backward_);
  Operators layer;
  layer.straight = (1 - half.array()) / (1 + half.array());
  const VectorXd twice = 1 + layer.straight.array();
  MatrixXd kept = -ahead * flux_.asDiagonal();
  kept.diagonal() += (1 + half.array()).matrix();
  const Eigen::PartialPivLU<MatrixXd> solve(kept);
  // t = kept^-1 (ahead twice + back r), r = kept^-1 (back twice + back t): sum and difference part.
  const MatrixXd from_ahead = solve.solve(MatrixXd(ahead * twice.asDiagonal()));
  const MatrixXd from_back = solve.solve(MatrixXd(back * twice.asDiagonal()));
  const MatrixXd echo = solve.solve(MatrixXd(back * flux_.asDiagonal()));
  const MatrixXd one = MatrixXd::Identity(mu_.size(), mu_.size());
  const MatrixXd sum = (one - echo).partialPivLu().solve(from_ahead + from_back);
  const MatrixXd difference = (one + echo).partialPivLu().solve(from_ahead - from_back);
  layer.transmit = (sum + difference) / 2;
  layer.reflect = (sum - difference) / 2;
  for (int n = 1; n < parts; n *= 2) layer = doubled(layer);
  return layer;
}

Operators Streams::doubled(const Operators& slab) const {
  return in_front(slab, slab);
}

// Between the two: down = t1 + (straight1 + t1) nothing + r1 up, up = r2 straight1 + r2 down.
Operators Streams::in_front(const Operators& a, const Operators& b) const {
  const MatrixXd ra = a.reflect * flux_.asDiagonal(), rb = b.reflect * flux_.asDiagonal();
  const MatrixXd lit = b.reflect * a.straight.asDiagonal();
  const MatrixXd one = MatrixXd::Identity(mu_.size(), mu_.size());
  const MatrixXd down = (one - ra * rb).partialPivLu().solve(a.transmit + ra * lit);
  const MatrixXd up = lit + rb * down;
  Operators both;
  both.reflect = a.reflect + a.straight.asDiagonal() * up + (a.transmit * flux_.asDiagonal()) * up;
  both.transmit = b.transmit * a.straight.asDiagonal() + b.straight.asDiagonal() * down +
                  (b.transmit * flux_.asDiagonal()) * down;
  both.straight = a.straight.cwiseProduct(b.straight);
  return both;
}

Operators Streams::slab(double absorption, double scattering) const {
  double K = absorption, S = scattering * scattered_;
  if (K + S == 0) {
    const MatrixXd none = MatrixXd::Zero(mu_.size(), mu_.size());
    return {none, none, VectorXd::Ones(mu_.size())};
  }
  // The flattest direction crosses at most a tenth of a mean free path.
  int times = 0;
  for (; K + S > 0.1 * mu_.minCoeff(); ++times) {
    K /= 2;
    S /= 2;
  }
  // Romberg: errors of depth^2, ^4 and ^6 drop out; weights that sum to 1 lose no light.
  const Operators one = thin(K, S, 1), two = thin(K, S, 2), four = thin(K, S, 4);
  const Operators a = mixed(two, 4 / 3.0, one, -1 / 3.0), b = mixed(four, 4 / 3.0, two, -1 / 3.0);
  Operators layer = mixed(b, 16 / 15.0, a, -1 / 15.0);
  for (; times > 0; --times) layer = doubled(layer);
  return layer;
}

Slab Streams::seen(const Operators& o, Viewing viewing) const {
  const VectorXd reflected = o.reflect * flux_;
  // What comes out behind of a beam along each direction; by reciprocity what is seen along it of
  // diffuse light behind.
  const VectorXd through = o.straight + o.transmit.transpose() * flux_;
  const double R = flux_.dot(reflected);
  Slab slab(R, R, flux_.dot(through));
  const Index eye = viewing == Viewing::at_45_0 ? normal() : at_8();
  slab.lit = reflected[eye];
  slab.out = through[eye];
  slab.straight_out = o.straight[eye];
  slab.seen = slab.lit;
  if (viewing == Viewing::diffuse_8) return slab;
  slab.seen = o.reflect(eye, at_45());
  slab.thrown = reflected[at_45()];
  slab.in = through[at_45()];
  slab.straight_in = o.straight[at_45()];
  return slab;
}

Slab solved(const Path& path, Viewing viewing, int streams, const Phase& phase) {
  const Streams in(streams, phase);
  return in.seen(in.slab(path.absorption, path.scattering), viewing);
}

Slab solved_in_front(const Path& front, const Path& behind, Viewing viewing, int streams,
                     const Phase& phase) {
  const Streams in(streams, phase);
  const Operators a = in.slab(front.absorption, front.scattering);
  const Operators b = in.slab(behind.absorption, behind.scattering);
  Slab slab = in.seen(in.in_front(a, b), viewing);
  slab.R21 = in.seen(in.in_front(b, a), viewing).R12;
  return slab;
}

}  // namespace mendtone
