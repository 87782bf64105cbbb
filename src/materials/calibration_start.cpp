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

/// Gauss-Newton of k and s of each band on its own, with bounds.
void refine_bands(const Frame& frame, const Layout& layout, Eigen::VectorXd& theta) {
  const std::size_t swatches = frame.problem.swatches.size();
  const auto n = static_cast<Eigen::Index>(layout.colorants());
  const auto B = static_cast<Eigen::Index>(layout.bands());
  const Eigen::Index unknowns = layout.law().scatters ? 2 * n : n;
  const auto at = [&](Eigen::Index u, Eigen::Index i) { return u * B + i; };
  Eigen::VectorXd best = Eigen::VectorXd::Constant(B, 1e300), damping = Eigen::VectorXd::Ones(B);
  Eigen::VectorXd kept = theta;
  for (int round = 0; round < 25; ++round) {
    std::vector<Eigen::MatrixXd> G(static_cast<std::size_t>(B),
                                   Eigen::MatrixXd::Zero(unknowns, unknowns));
    std::vector<Eigen::VectorXd> b(static_cast<std::size_t>(B), Eigen::VectorXd::Zero(unknowns));
    Eigen::VectorXd error = Eigen::VectorXd::Zero(B);
    for (std::size_t m = 0; m < swatches; ++m)
      for (std::size_t r = 0; r < frame.problem.swatches[m].over.size(); ++r) {
        const Bands now = bands(frame, layout, theta, m, r);
        const auto& R = frame.problem.swatches[m].over[r].R;
        for (Eigen::Index i = 0; i < B; ++i) {
          const double w = frame.target[m][r].spectral[i];
          const double miss = w * (now.R[i] - R[static_cast<std::size_t>(i)]);
          // Bounded influence: one swatch must not lead the start astray.
          const double trust = 1 / (1 + miss * miss / 0.25);
          error[i] += std::log1p(miss * miss / 0.25);
          std::vector<std::pair<Eigen::Index, double>> slope;
          for (std::size_t j : frame.used[m]) {
            const double curve = layout.curved() ? theta[layout.curve(j)] : 1;
            const double g = w * growth(layout.law().load, curve,
                                        frame.problem.swatches[m].loads[j] / frame.top_load[j])
                                     .g;
            slope.emplace_back(static_cast<Eigen::Index>(j), g * now.by_A[i]);
            if (layout.law().scatters)
              slope.emplace_back(n + static_cast<Eigen::Index>(j), g * now.by_S[i]);
          }
          auto& Gi = G[static_cast<std::size_t>(i)];
          auto& bi = b[static_cast<std::size_t>(i)];
          for (const auto& [u, su] : slope) {
            bi[u] -= trust * su * miss;
            for (const auto& [v, sv] : slope) Gi(u, v) += trust * su * sv;
          }
        }
      }
    for (Eigen::Index i = 0; i < B; ++i) {
      if (error[i] < best[i]) {
        best[i] = error[i];
        damping[i] = std::max(damping[i] / 5, 1e-4);
        for (Eigen::Index u = 0; u < unknowns; ++u) kept[at(u, i)] = theta[at(u, i)];
      } else {
        damping[i] *= 4;
        for (Eigen::Index u = 0; u < unknowns; ++u) theta[at(u, i)] = kept[at(u, i)];
        if (round > 0 && damping[i] > 1e4) continue;
      }
      auto& Gi = G[static_cast<std::size_t>(i)];
      const double size = std::max(Gi.diagonal().maxCoeff(), 1e-12);
      Gi.diagonal() += damping[i] * Gi.diagonal();
      Gi.diagonal().array() += 1e-5 * size;
      Eigen::VectorXd x(unknowns);
      for (Eigen::Index u = 0; u < unknowns; ++u) x[u] = kept[at(u, i)];
      // The quadratic model in the new values, not in the step, so that the bound is plain.
      const Eigen::VectorXd next = non_negative(Gi, b[static_cast<std::size_t>(i)] + Gi * x, x);
      for (Eigen::Index u = 0; u < unknowns; ++u) theta[at(u, i)] = next[u];
    }
  }
  theta = kept;
}

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
  refine_bands(frame, layout, theta);
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
  if (to.law().screening) {
    next[to.screening()] = from.law().screening ? theta[from.screening()] : 1;
    next[to.quenching()] = from.law().screening ? theta[from.quenching()] : 0.03;
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
