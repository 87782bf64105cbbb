#include "virtual_bench/slab.hpp"

#include <Eigen/Dense>
#include <cmath>

namespace mendtone::virtual_bench {
namespace {

constexpr double colorant_asymmetry = 0.65;

/// Radau quadrature of (0, 1] with a direction at the very normal, found by Golub and Welsch's
/// eigenvalues of the Jacobi matrix, changed in its last entry so that 1 is a node.
template <int N>
struct Directions {
  Eigen::Matrix<double, N, 1> mu, weight;

  Directions() {
    Eigen::Matrix<double, N, N> jacobi = Eigen::Matrix<double, N, N>::Zero();
    const auto beta = [](int i) { return 0.5 * i / std::sqrt(4.0 * i * i - 1); };
    for (int i = 0; i < N; ++i) jacobi(i, i) = 0.5;
    for (int i = 1; i < N; ++i) jacobi(i, i - 1) = jacobi(i - 1, i) = beta(i);
    // p_{N-2}(1) / p_{N-1}(1) of the orthonormal polynomials, by their recurrence.
    double before = 0, now = 1;
    for (int i = 1; i < N; ++i) {
      const double next = ((1 - 0.5) * now - (i > 1 ? beta(i - 1) : 0) * before) / beta(i);
      before = now;
      now = next;
    }
    jacobi(N - 1, N - 1) = 1 - beta(N - 1) * before / now;
    Eigen::SelfAdjointEigenSolver<Eigen::Matrix<double, N, N>> solved(jacobi);
    mu = solved.eigenvalues();
    weight = solved.eigenvectors().row(0).transpose().array().square();
  }
};

template <int N>
using Square = Eigen::Matrix<double, N, N>;

/// Phase function averaged over azimuth, between the directions, forward and backward; rows are
/// scaled so that no light is lost.
template <int N>
struct Phase {
  Square<N> forward, backward;

  Phase(const Directions<N>& d, double g) {
    const auto legendre = [](double x) {
      std::array<double, 2 * N> P{};
      P[0] = 1;
      P[1] = x;
      for (int l = 2; l < 2 * N; ++l) P[l] = ((2 * l - 1) * x * P[l - 1] - (l - 1) * P[l - 2]) / l;
      return P;
    };
    for (int i = 0; i < N; ++i)
      for (int j = 0; j < N; ++j) {
        const auto Pi = legendre(d.mu[i]), Pj = legendre(d.mu[j]);
        double plus = 0, minus = 0, power = 1;
        for (int l = 0; l < 2 * N; ++l) {
          plus += (2 * l + 1) * power * Pi[l] * Pj[l];
          minus += (2 * l + 1) * power * Pi[l] * Pj[l] * (l % 2 ? -1 : 1);
          power *= g;
        }
        forward(i, j) = plus;
        backward(i, j) = minus;
      }
    for (int j = 0; j < N; ++j) {
      const double kept = 0.5 * d.weight.dot(forward.col(j)) + 0.5 * d.weight.dot(backward.col(j));
      forward.col(j) /= kept;
      backward.col(j) /= kept;
    }
  }
};

template <int N>
struct Layer {
  Square<N> R, T;  ///< act on fluxes 2 mu w I
};

/// Light through a layer so thin that the diamond scheme is exact to 1e-6, then doubled.
template <int N>
Layer<N> doubled(const Directions<N>& d, const Square<N>& forward, const Square<N>& backward,
                 double depth) {
  // Fluxes f_i = mu_i w_i I_i: loss 1/mu_i, gain from j: w_i P_ij / (2 mu_j).
  int times = 0;
  double thin = depth;
  while (thin > 0.02) {
    thin /= 2;
    ++times;
  }
  Square<N> a = Square<N>::Zero(), b;
  for (int i = 0; i < N; ++i) {
    for (int j = 0; j < N; ++j) {
      a(i, j) = -thin / 2 * d.weight[i] * forward(i, j) / (2 * d.mu[j]);
      b(i, j) = thin / 2 * d.weight[i] * backward(i, j) / (2 * d.mu[j]);
    }
    a(i, i) += thin / 2 / d.mu[i];
  }
  const Square<N> one = Square<N>::Identity();
  const Square<N> inner = (one + a).inverse();
  const Square<N> G = (one + a - b * inner * b).inverse();
  Layer<N> layer{2 * G * b * inner, 2 * G - one};
  for (; times > 0; --times) {
    const Square<N> many = layer.T * (one - layer.R * layer.R).inverse();
    layer.R = (layer.R + many * layer.R * layer.T).eval();
    layer.T = (many * layer.T).eval();
  }
  return layer;
}

/// Unpolarised Fresnel reflectance from within, at the inner angle of cosine mu.
double fresnel_inside(double mu, double n) {
  const double sine = n * std::sqrt(1 - mu * mu);
  if (sine >= 1) return 1;
  const double outer = std::sqrt(1 - sine * sine);
  const double s = (n * mu - outer) / (n * mu + outer), p = (mu - n * outer) / (mu + n * outer);
  return (s * s + p * p) / 2;
}

/// The same, averaged over the share of the hemisphere that each direction stands for: the
/// critical angle falls within one of them.
Eigen::Matrix<double, streams, 1> fresnel_shares(const Directions<streams>& d, double n) {
  Eigen::Matrix<double, streams, 1> share;
  double low = 0;
  for (int i = 0; i < streams; ++i) {
    constexpr int steps = 64;
    double sum = 0, weight = 0;
    for (int k = 0; k < steps; ++k) {
      const double mu = low + d.weight[i] * (k + 0.5) / steps;
      sum += mu * fresnel_inside(mu, n);
      weight += mu;
    }
    share[i] = sum / weight;
    low += d.weight[i];
  }
  return share;
}

struct Fixed {
  Directions<streams> directions;
  Phase<streams> fibres{directions, 0.0};
  Phase<streams> colorant{directions, colorant_asymmetry};
  /// Diffuse light as fluxes: 2 mu w, sum 1.
  Eigen::Matrix<double, streams, 1> diffuse;
  Fixed() { diffuse = 2 * directions.mu.cwiseProduct(directions.weight); }
};

const Fixed& fixed() {
  static const Fixed once;
  return once;
}

Layer<streams> slab(const Depth& depth) {
  const Fixed& f = fixed();
  const double scattered = depth.scattered_by_fibres + depth.scattered_by_colorant;
  const double total = depth.absorbed + scattered;
  if (total <= 0) return {Square<streams>::Zero(), Square<streams>::Identity()};
  const double by_fibres = depth.scattered_by_fibres / total;
  const double by_colorant = depth.scattered_by_colorant / total;
  return doubled<streams>(f.directions,
                          by_fibres * f.fibres.forward + by_colorant * f.colorant.forward,
                          by_fibres * f.fibres.backward + by_colorant * f.colorant.backward, total);
}

constexpr int normal = streams - 1;

}  // namespace

Seen sheet(const Depth& depth, double backing) {
  const Fixed& f = fixed();
  const Layer<streams> layer = slab(depth);
  const Eigen::Matrix<double, streams, 1> reflected = layer.R * f.diffuse;
  const Eigen::Matrix<double, streams, 1> through = layer.T * f.diffuse;
  // The matt backing returns every flux as diffuse light.
  const double returned = backing * through.sum() / (1 - backing * reflected.sum());
  const double seen = reflected[normal] + returned * through[normal];
  return {seen / f.diffuse[normal], through.sum()};
}

double glossy_film(const Depth& depth, double support, double n) {
  const Fixed& f = fixed();
  using Vector = Eigen::Matrix<double, streams, 1>;
  const Layer<streams> layer = slab(depth);
  const Vector inside = fresnel_shares(f.directions, n);
  // Diffuse light outside fills only the cone within the critical angle, n^2 times as densely.
  const Vector enters = n * n * f.diffuse.cwiseProduct(Vector::Ones() - inside);
  // Over the matt support the slab is one reflector, R + T (support) T with all echoes between.
  const Eigen::Matrix<double, 1, streams> all = Eigen::Matrix<double, 1, streams>::Ones();
  const double echo = 1 / (1 - support * (all * layer.R * f.diffuse)(0));
  const Square<streams> body = layer.R + (layer.T * f.diffuse) * (support * echo) * (all * layer.T);
  const Square<streams> one = Square<streams>::Identity();
  const Vector up = (one - body * inside.asDiagonal()).partialPivLu().solve(body * enters);
  return up[normal] * (1 - fresnel_inside(1, n)) / (n * n) / f.diffuse[normal];
}

Collimated collimated(double absorbed, double scattered, double asymmetry) {
  constexpr int many = 16;
  const Directions<many> d;
  const Phase<many> phase(d, asymmetry);
  const double total = absorbed + scattered;
  const Layer<many> layer = doubled<many>(d, scattered / total * phase.forward,
                                          scattered / total * phase.backward, total);
  return {layer.R.col(many - 1).sum(), layer.T.col(many - 1).sum()};
}

}  // namespace mendtone::virtual_bench
