#include <algorithm>
#include <cmath>
#include <map>

#include "materials/calibration_fit.hpp"
#include "mendtone/base/random.hpp"
#include "mendtone/optics/inversion.hpp"

namespace mendtone::calibration {
namespace {

/// min x'Gx/2 - b'x over x >= 0 by coordinate descent; G positive definite.
Eigen::VectorXd non_negative(const Eigen::MatrixXd& G, const Eigen::VectorXd& b,
                             Eigen::VectorXd x) {
  for (int sweep = 0; sweep < 300; ++sweep) {
    double moved = 0;
    for (Eigen::Index i = 0; i < x.size(); ++i) {
      const double next = std::max(0.0, x[i] + (b[i] - G.row(i).dot(x)) / G(i, i));
      moved = std::max(moved, std::abs(next - x[i]));
      x[i] = next;
    }
    if (moved < 1e-9) break;
  }
  return x;
}

/// The absorption that a swatch seems to have gained in one band, were there no scattering.
double absorption_gained(const CalibrationProblem& p, const SwatchReading& reading, int plies,
                         std::size_t i) {
  const double R = std::clamp(reading.R[i], 2e-3, 2.0), Rg = std::max(reading.below[i], 2e-3);
  if (p.application == Application::film) return std::max(0.0, std::log(Rg / R) / 2);
  return std::max(0.0, absorption_from({R, Rg}, plies * p.ply.S[i]) / plies - p.ply.K[i]);
}

/// k and s of every colorant in one band, each band on its own: Gauss-Newton with bounds.
class BandByBand {
 public:
  BandByBand(const Frame& frame, const Layout& layout)
      : frame_(frame),
        layout_(layout),
        n_(static_cast<Eigen::Index>(layout.colorants())),
        B_(static_cast<Eigen::Index>(layout.bands())),
        unknowns_(layout.law().scatters ? 2 * n_ : n_),
        best_(Eigen::VectorXd::Constant(B_, 1e300)),
        damping_(Eigen::VectorXd::Ones(B_)) {}

  void refine(Eigen::VectorXd& theta) {
    constexpr int rounds = 25;  // a start only: the joint fit follows
    kept_ = theta;
    for (int round = 0; round < rounds; ++round) {
      set_up(theta);
      for (Eigen::Index i = 0; i < B_; ++i) {
        judge(i, theta);
        if (round > 0 && damping_[i] > most_damping) continue;
        step(i, theta);
      }
    }
    theta = kept_;
  }

 private:
  static constexpr double least_damping = 1e-4, most_damping = 1e4;  ///< beyond: the band rests
  /// Miss, squared and in units of about DeltaE00, beyond which a swatch pulls less: one swatch
  /// must not lead the start astray.
  static constexpr double trusted_miss2 = 0.25;

  Eigen::Index at(Eigen::Index unknown, Eigen::Index band) const { return unknown * B_ + band; }

  /// Normal equations of every band at `theta`.
  void set_up(const Eigen::VectorXd& theta) {
    const auto bands_count = static_cast<std::size_t>(B_);
    G_.assign(bands_count, Eigen::MatrixXd::Zero(unknowns_, unknowns_));
    b_.assign(bands_count, Eigen::VectorXd::Zero(unknowns_));
    error_ = Eigen::VectorXd::Zero(B_);
    for (std::size_t m = 0; m < frame_.problem.swatches.size(); ++m)
      for (std::size_t r = 0; r < frame_.problem.swatches[m].over.size(); ++r)
        add_reading(theta, m, r);
  }
  void add_reading(const Eigen::VectorXd& theta, std::size_t m, std::size_t r) {
    const Bands now = bands(frame_, layout_, theta, m, r);
    const std::vector<double>& R = frame_.problem.swatches[m].over[r].R;
    for (Eigen::Index i = 0; i < B_; ++i) {
      const double w = frame_.target[m][r].spectral[i];
      const double miss = w * (now.R[i] - R[static_cast<std::size_t>(i)]);
      const double trust = 1 / (1 + miss * miss / trusted_miss2);
      error_[i] += std::log1p(miss * miss / trusted_miss2);
      auto& Gi = G_[static_cast<std::size_t>(i)];
      auto& bi = b_[static_cast<std::size_t>(i)];
      const auto slopes = slopes_of(theta, m, now, w, i);
      for (const auto& [u, su] : slopes) {
        bi[u] -= trust * su * miss;
        for (const auto& [v, sv] : slopes) Gi(u, v) += trust * su * sv;
      }
    }
  }
  /// (unknown, slope of the weighted reading) in one band.
  std::vector<std::pair<Eigen::Index, double>> slopes_of(const Eigen::VectorXd& theta,
                                                         std::size_t m, const Bands& now, double w,
                                                         Eigen::Index i) const {
    std::vector<std::pair<Eigen::Index, double>> slopes;
    for (std::size_t j : frame_.used[m]) {
      const double curve = layout_.curved() ? theta[layout_.curve(j)] : 1;
      const double x = frame_.problem.swatches[m].loads[j] / frame_.top_load[j];
      const double g = w * growth(layout_.law().load, curve, x).g;
      slopes.emplace_back(static_cast<Eigen::Index>(j), g * now.by_K[i]);
      if (layout_.law().scatters)
        slopes.emplace_back(n_ + static_cast<Eigen::Index>(j), g * now.by_S[i]);
    }
    return slopes;
  }
  /// Keeps where the band has come to, or goes back and damps more.
  void judge(Eigen::Index i, Eigen::VectorXd& theta) {
    const bool better = error_[i] < best_[i];
    const Eigen::VectorXd& from = better ? theta : kept_;
    Eigen::VectorXd& to = better ? kept_ : theta;
    for (Eigen::Index u = 0; u < unknowns_; ++u) to[at(u, i)] = from[at(u, i)];
    if (better) best_[i] = error_[i];
    damping_[i] = better ? std::max(damping_[i] / 5, least_damping) : damping_[i] * 4;
  }
  void step(Eigen::Index i, Eigen::VectorXd& theta) const {
    Eigen::MatrixXd G = G_[static_cast<std::size_t>(i)];
    const double size = std::max(G.diagonal().maxCoeff(), 1e-12);
    G.diagonal() += damping_[i] * G.diagonal();
    G.diagonal().array() += 1e-5 * size;  // what no swatch tells of stays where it is
    Eigen::VectorXd x(unknowns_);
    for (Eigen::Index u = 0; u < unknowns_; ++u) x[u] = kept_[at(u, i)];
    // The quadratic model in the new values, not in the step, so that the bound is plain.
    const Eigen::VectorXd next = non_negative(G, b_[static_cast<std::size_t>(i)] + G * x, x);
    for (Eigen::Index u = 0; u < unknowns_; ++u) theta[at(u, i)] = next[u];
  }

  const Frame& frame_;
  const Layout& layout_;
  Eigen::Index n_, B_, unknowns_;
  Eigen::VectorXd best_, damping_, kept_, error_;
  std::vector<Eigen::MatrixXd> G_;
  std::vector<Eigen::VectorXd> b_;
};

}  // namespace

Eigen::VectorXd start(const Frame& frame, const Layout& layout) {
  const CalibrationProblem& p = frame.problem;
  const auto n = static_cast<Eigen::Index>(layout.colorants());
  const auto B = static_cast<Eigen::Index>(layout.bands());
  Eigen::VectorXd theta = Eigen::VectorXd::Zero(layout.size());
  if (layout.curved()) {
    const double curve = layout.law().load == LoadLaw::Kind::power ? 1 : 0.1;
    theta.segment(layout.curve(0), n + 1).setConstant(curve);
  }
  if (layout.law().filling) theta.segment(layout.filling(0), n + 1).setConstant(0.02);
  if (layout.law().interface) {
    theta[layout.k1()] = 0.01;
    theta[layout.k2()] = 0.3;
  }
  for (Eigen::Index i = 0; i < B; ++i) {
    Eigen::MatrixXd G = Eigen::MatrixXd::Identity(n, n) * 1e-6;
    Eigen::VectorXd b = Eigen::VectorXd::Zero(n);
    for (std::size_t m = 0; m < p.swatches.size(); ++m)
      for (const SwatchReading& reading : p.swatches[m].over) {
        const auto band = static_cast<std::size_t>(i);
        if (reading.below[band] < 0.2) continue;  // over black, absorption hardly shows
        const double gained = absorption_gained(p, reading, p.swatches[m].plies, band);
        const double w = std::max(reading.R[band], 0.02);
        for (std::size_t u : frame.used[m]) {
          const double gu = p.swatches[m].loads[u] / frame.top_load[u];
          b[static_cast<Eigen::Index>(u)] += w * gu * gained;
          for (std::size_t v : frame.used[m])
            G(static_cast<Eigen::Index>(u), static_cast<Eigen::Index>(v)) +=
                w * gu * p.swatches[m].loads[v] / frame.top_load[v];
        }
      }
    const Eigen::VectorXd k = non_negative(G, b, Eigen::VectorXd::Zero(n));
    for (Eigen::Index j = 0; j < n; ++j) {
      theta[layout.k(static_cast<std::size_t>(j)) + i] = std::max(k[j], 1e-3);
      if (layout.law().scatters)
        theta[layout.s(static_cast<std::size_t>(j)) + i] = 0.1 * k[j] + 0.02;
    }
  }
  BandByBand(frame, layout).refine(theta);
  return theta;
}

Eigen::VectorXd carried_over(const Layout& from, const Eigen::VectorXd& theta, const Layout& to) {
  const auto n = static_cast<Eigen::Index>(to.colorants());
  const auto B = static_cast<Eigen::Index>(to.bands());
  Eigen::VectorXd next = Eigen::VectorXd::Zero(to.size());
  for (std::size_t j = 0; j < to.colorants(); ++j) {
    next.segment(to.k(j), B) = theta.segment(from.k(j), B);
    if (to.law().scatters) {
      if (from.law().scatters)
        next.segment(to.s(j), B) = theta.segment(from.s(j), B);
      else
        next.segment(to.s(j), B).setConstant(0.02);
    }
  }
  if (to.curved()) {
    if (from.law().load == to.law().load)
      next.segment(to.curve(0), n + 1) = theta.segment(from.curve(0), n + 1);
    else
      next.segment(to.curve(0), n + 1)
          .setConstant(to.law().load == LoadLaw::Kind::power ? 0.98 : 0.05);
  }
  if (to.law().filling) {
    if (from.law().filling)
      next.segment(to.filling(0), n + 1) = theta.segment(from.filling(0), n + 1);
    else
      next.segment(to.filling(0), n + 1).setConstant(0.01);
  }
  if (to.law().interface) {
    next[to.k1()] = from.law().interface ? theta[from.k1()] : 0.005;
    next[to.k2()] = from.law().interface ? theta[from.k2()] : 0.1;
  }
  // Absorption a path is about half of Kubelka's K, reduced scattering a quarter more than his S.
  if (to.law().many_fluxes && !from.law().many_fluxes)
    for (std::size_t j = 0; j < to.colorants(); ++j) {
      next.segment(to.k(j), B) *= 0.5;
      if (to.law().scatters) next.segment(to.s(j), B) *= 1.25;
    }
  return next;
}

std::vector<std::vector<std::size_t>> folds(const CalibrationProblem& problem) {
  constexpr std::size_t most_single = 60, many = 10;
  std::map<std::vector<double>, std::vector<std::size_t>> same;
  for (std::size_t m = 0; m < problem.swatches.size(); ++m)
    same[problem.swatches[m].loads].push_back(m);
  std::vector<std::vector<std::size_t>> groups;
  for (auto& [loads, members] : same) groups.push_back(std::move(members));
  std::sort(groups.begin(), groups.end());
  if (problem.swatches.size() <= most_single) return groups;
  CounterRandom random(problem.seed, 10);
  for (std::size_t i = groups.size(); i > 1; --i)
    std::swap(groups[i - 1], groups[random.below(static_cast<std::uint32_t>(i))]);
  std::vector<std::vector<std::size_t>> folds(many);
  for (std::size_t i = 0; i < groups.size(); ++i)
    folds[i % many].insert(folds[i % many].end(), groups[i].begin(), groups[i].end());
  return folds;
}

}  // namespace mendtone::calibration
