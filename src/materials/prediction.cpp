#include "mendtone/materials/prediction.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

#include "materials/colour_slopes.hpp"
#include "materials/learnt.hpp"
#include "materials/response.hpp"
#include "materials/screened.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone {
namespace {

/// How a colorant's h(c) changes with its law's parameter.
double value_by_parameter(const LoadLaw& law, double c) {
  if (c <= 0) return 0;
  switch (law.kind) {
    case LoadLaw::Kind::power:
      return law.value(c) * std::log(c);
    case LoadLaw::Kind::saturating: {
      const double share = c / (c + law.parameter);
      return share * share;
    }
    case LoadLaw::Kind::linear:
      break;
  }
  return 0;
}

/// Colour steps per step of K and S in each band, in CIEDE2000 units: 3 x bands.
struct ColourSlopes {
  Eigen::MatrixXd by_R, by_K, by_S;
};

ColourSlopes colour_slopes(const Response& at, const TristimulusWeights& w) {
  const auto B = static_cast<Eigen::Index>(at.R.size());
  const Xyz xyz = w.xyz_unchecked(at.R);
  Eigen::MatrixXd cmf(3, B);
  cmf.row(0) = Eigen::Map<const Eigen::RowVectorXd>(w.wx.data(), B);
  cmf.row(1) = Eigen::Map<const Eigen::RowVectorXd>(w.wy.data(), B);
  cmf.row(2) = Eigen::Map<const Eigen::RowVectorXd>(w.wz.data(), B);
  ColourSlopes slopes;
  slopes.by_R = de00_metric(xyz_to_lab(xyz, w.white)) * lab_by_xyz(xyz, w.white) * cmf;
  slopes.by_K = slopes.by_R * Eigen::Map<const Eigen::VectorXd>(at.by_K.data(), B).asDiagonal();
  slopes.by_S = slopes.by_R * Eigen::Map<const Eigen::VectorXd>(at.by_S.data(), B).asDiagonal();
  return slopes;
}

/// What screening and quenching do in each band at the loads in question.
struct Dimmed {
  std::vector<ScreenedK> K;
  std::vector<QuenchedS> S;
  double unfilled = 1;
};

Dimmed dimmed(const Palette& palette, std::span<const double> loads) {
  const Unscreened sum = unscreened(palette, loads);
  Dimmed at{{}, {}, sum.unfilled};
  for (std::size_t i = 0; i < sum.A.size(); ++i) {
    at.K.push_back(screened(sum.A[i], palette.screening));
    at.S.push_back(quenched(sum.S[i], at.K.back().K, palette.quenching));
  }
  return at;
}

/// The step of colour that one direction of the posterior makes.
Eigen::Vector3d step_of(const Palette& palette, std::span<const double> loads,
                        std::span<const double> below, int plies, const Response& at,
                        const ColourSlopes& slopes, const std::vector<double>& factor,
                        const Dimmed& dim, const std::vector<double>& v) {
  const std::size_t n = loads.size(), bands = palette.grid.size();
  const auto B = static_cast<Eigen::Index>(bands);
  Eigen::VectorXd dA = Eigen::VectorXd::Zero(B), dS = Eigen::VectorXd::Zero(B);
  double dfilled = 0;
  for (std::size_t j = 0; j < n; ++j) {
    if (loads[j] <= 0) continue;
    const Colorant& colorant = palette.colorants[j];
    const double h = colorant.law.value(loads[j]);
    const double dh = value_by_parameter(colorant.law, loads[j]) * v[2 * n * bands + j];
    for (std::size_t i = 0; i < bands; ++i) {
      const auto row = static_cast<Eigen::Index>(i);
      dA[row] += h * v[j * bands + i] + dh * colorant.k[i];
      dS[row] += h * v[(n + j) * bands + i] + dh * colorant.s[i];
    }
    dfilled += colorant.filling * dh + v[2 * n * bands + n + j] * h;
  }
  if (!factor.empty()) dA = dA.cwiseProduct(Eigen::Map<const Eigen::VectorXd>(factor.data(), B));
  if (palette.application == Application::absorbed)
    dS -= dim.unfilled * dfilled * Eigen::Map<const Eigen::VectorXd>(palette.ply.S.data(), B);
  const double dscreening = v[v.size() - 2], dquenching = v[v.size() - 1];
  Eigen::VectorXd dK(B);
  for (Eigen::Index i = 0; i < B; ++i) {
    const auto at_i = static_cast<std::size_t>(i);
    const ScreenedK& K = dim.K[at_i];
    const QuenchedS& S = dim.S[at_i];
    dK[i] = K.by_A * dA[i] + K.by_screening * dscreening;
    dS[i] = S.by_S * dS[i] + S.by_K * dK[i] + S.by_quenching * dquenching;
  }
  Eigen::Vector3d step = slopes.by_K * dK + slopes.by_S * dS;
  const double dk1 = v[v.size() - 4], dk2 = v[v.size() - 3];
  if (dk1 != 0 || dk2 != 0) {
    constexpr double small = 1e-3;
    Palette moved = palette;
    moved.interface.k1 += small * dk1;
    moved.interface.k2 += small * dk2;
    const std::vector<double> R = reflectance(moved, loads, plies, below);
    Eigen::VectorXd dR(B);
    for (std::size_t i = 0; i < bands; ++i)
      dR[static_cast<Eigen::Index>(i)] = (R[i] - at.R[i]) / small;
    step += slopes.by_R * dR;
  }
  return step;
}

/// 95 % point of sum lambda_i chi^2_1, by matching two moments (Welch and Satterthwaite) and
/// Wilson and Hilferty's cube root: within 3 % of the root for three terms.
double quantile95(const Eigen::Vector3d& lambda) {
  const double mean = lambda.sum();
  if (mean <= 0) return 0;
  const double variance = 2 * lambda.squaredNorm();
  const double freedom = 2 * mean * mean / variance, a = 2 / (9 * freedom);
  const double root = 1 - a + 1.6448536269514722 * std::sqrt(a);
  return mean * root * root * root;
}

}  // namespace

double u95_de00(const Palette& palette, std::span<const double> loads, int plies,
                std::span<const double> below, const TristimulusWeights& weights,
                std::optional<double> pick_up_sd) {
  const BodySlopes one = body_slopes(palette, loads);
  const Response at = response(palette, one.body, plies, below);
  const ColourSlopes slopes = colour_slopes(at, weights);
  const std::vector<double> factor =
      palette.learnt ? learnt_factor(*palette.learnt, loads) : std::vector<double>();
  const auto B = static_cast<Eigen::Index>(at.R.size());
  const Dimmed dim = dimmed(palette, loads);
  const Posterior& posterior = palette.posterior;
  Eigen::Matrix3d covariance =
      Eigen::Matrix3d::Identity() * posterior.error_de00 * posterior.error_de00;
  for (const std::vector<double>& direction : posterior.direction) {
    const Eigen::Vector3d step =
        step_of(palette, loads, below, plies, at, slopes, factor, dim, direction);
    covariance += step * step.transpose();
  }
  // Loads: each colorant's own error, and the sheet's pick-up which they share.
  const double dosing = posterior.dosing_sd, pick_up = pick_up_sd.value_or(dosing);
  Eigen::Vector3d shared = Eigen::Vector3d::Zero();
  for (std::size_t j = 0; j < loads.size(); ++j) {
    const std::size_t from = j * static_cast<std::size_t>(B);
    const Eigen::Vector3d step =
        loads[j] * (slopes.by_K * Eigen::Map<const Eigen::VectorXd>(one.dK.data() + from, B) +
                    slopes.by_S * Eigen::Map<const Eigen::VectorXd>(one.dS.data() + from, B));
    covariance += dosing * dosing * step * step.transpose();
    shared += step;
  }
  covariance += pick_up * pick_up * shared * shared.transpose();
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d> solved(covariance, Eigen::EigenvaluesOnly);
  const bool mixture =
      std::count_if(loads.begin(), loads.end(), [](double load) { return load > 0; }) > 1;
  return (mixture ? posterior.mixture_inflation : posterior.inflation) *
         std::sqrt(quantile95(solved.eigenvalues().cwiseMax(0.0)));
}

std::vector<std::string> load_warnings(const Palette& palette, std::span<const double> loads) {
  std::vector<std::string> warnings;
  for (std::size_t j = 0; j < loads.size(); ++j) {
    const Colorant& colorant = palette.colorants[j];
    const auto [low, high] = colorant.load_range;
    if (loads[j] > high * (1 + 1e-9))
      warnings.push_back("extrapolated: " + colorant.name + " at " + shortest(loads[j]) +
                         " was read up to " + shortest(high) + " only");
    else if (loads[j] > 0 && loads[j] < low * (1 - 1e-9))
      warnings.push_back(colorant.name + " at " + shortest(loads[j]) +
                         " is below its weakest reading, " + shortest(low) +
                         "; between that and none it is interpolated");
  }
  return warnings;
}

namespace {

Palette elsewhere(Palette palette, const std::string& name, const std::string& otherwise) {
  // Half as much again: what another lot's take-up may change (maintainers' choice, no source).
  constexpr double wider = 1.5;
  palette.warnings.push_back("calibrated on '" + palette.substrate + "'" +
                             (palette.lot.empty() ? "" : " lot " + palette.lot) + ", used on '" +
                             name + "': " + otherwise +
                             "; the uncertainty is widened by half, make a trial swatch first");
  palette.substrate = name;
  palette.posterior.inflation *= wider;
  palette.posterior.mixture_inflation *= wider;
  return palette;
}

}  // namespace

Palette on_other_sheet(Palette palette, const Ply& ply, const std::string& name) {
  palette.ply = ply;
  return elsewhere(std::move(palette), name, "another sheet may take colour up otherwise");
}

Palette on_other_support(Palette palette, const std::vector<double>& support,
                         const std::string& name) {
  palette.support = support;
  return elsewhere(std::move(palette), name, "another surface may take a film otherwise");
}

}  // namespace mendtone
