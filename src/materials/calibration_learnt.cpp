#include "materials/calibration_learnt.hpp"

#include <algorithm>
#include <cmath>

#include "materials/learnt.hpp"

namespace mendtone::calibration {
namespace {

constexpr Eigen::Index most_shapes = 6;
/// ln K of a mixture strays from the physics by this much, before anything is read.
constexpr double prior_sd = 0.3;
/// A band's lightness error that is no evidence.
constexpr double band_noise_L = 1.0;

Eigen::MatrixXd kernel_of(const LearntResidual& learnt) {
  const auto n = static_cast<Eigen::Index>(learnt.site.size());
  Eigen::MatrixXd K(n, n);
  for (Eigen::Index i = 0; i < n; ++i)
    for (Eigen::Index j = 0; j <= i; ++j)
      K(i, j) = K(j, i) = learnt_kernel(learnt, learnt.site[static_cast<std::size_t>(i)],
                                        learnt.site[static_cast<std::size_t>(j)]);
  return K;
}

/// Swatches that the robust fit trusts less are noisier.
Eigen::VectorXd noise_of(const Eigen::VectorXd& weight) {
  return weight.cwiseMin(1.0).cwiseMax(0.02).cwiseInverse();
}

}  // namespace

Eigen::MatrixXd lacking(const Frame& frame, const Layout& layout, const Eigen::VectorXd& theta) {
  const CalibrationProblem& p = frame.problem;
  const auto B = static_cast<Eigen::Index>(layout.bands());
  Eigen::MatrixXd all(static_cast<Eigen::Index>(p.swatches.size()), B);
  for (std::size_t m = 0; m < p.swatches.size(); ++m) {
    Eigen::VectorXd added = Eigen::VectorXd::Zero(B);
    for (std::size_t j : frame.used[m]) {
      const double curve = layout.curved() ? theta[layout.curve(j)] : 1;
      added += growth(layout.law().load, curve, p.swatches[m].loads[j] / frame.top_load[j]).g *
               theta.segment(layout.k(j), B);
    }
    Eigen::VectorXd top = Eigen::VectorXd::Zero(B);
    Eigen::VectorXd bottom =
        Eigen::VectorXd::Constant(B, band_noise_L * band_noise_L / (prior_sd * prior_sd));
    for (std::size_t b = 0; b < p.swatches[m].over.size(); ++b) {
      const Bands read = bands(frame, layout, theta, m, b);
      const Eigen::VectorXd to_L = frame.target[m][b].spectral / frame.per_band;
      const Eigen::VectorXd slope = to_L.cwiseProduct(read.by_K).cwiseProduct(added);
      const Eigen::VectorXd miss = to_L.cwiseProduct(
          Eigen::Map<const Eigen::VectorXd>(p.swatches[m].over[b].R.data(), B) - read.R);
      top += slope.cwiseProduct(miss);
      bottom += slope.cwiseAbs2();
    }
    all.row(static_cast<Eigen::Index>(m)) = top.cwiseQuotient(bottom).transpose();
  }
  return all;
}

LearntShape learnt_shape(const Frame& frame, const Eigen::MatrixXd& lack,
                         const Eigen::VectorXd& weight) {
  const Eigen::VectorXd trust = weight.cwiseMin(1.0);
  const Eigen::MatrixXd spread = lack.transpose() * trust.asDiagonal() * lack;
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> solved(spread);
  LearntShape best;
  for (Eigen::Index p = 0; p < std::min(most_shapes, lack.cols()); ++p) {
    const Eigen::VectorXd v = solved.eigenvectors().col(lack.cols() - 1 - p);
    best.shape.emplace_back(v.data(), v.data() + v.size());
  }
  LearntResidual trial;
  trial.load_scale = frame.top_load;
  for (const CalibrationSwatch& swatch : frame.problem.swatches) trial.site.push_back(swatch.loads);
  Eigen::MatrixXd z(lack.rows(), static_cast<Eigen::Index>(best.shape.size()));
  for (std::size_t p = 0; p < best.shape.size(); ++p)
    z.col(static_cast<Eigen::Index>(p)) =
        lack * Eigen::Map<const Eigen::VectorXd>(best.shape[p].data(), lack.cols());
  const Eigen::VectorXd noise = noise_of(weight);
  double least = 1e300;
  for (double reach : {0.35, 0.6, 1.0, 1.6}) {
    trial.reach = reach;
    const Eigen::MatrixXd K = kernel_of(trial);
    for (double ratio : {0.3, 1.0, 3.0, 10.0}) {
      Eigen::MatrixXd A = K;
      A.diagonal() += noise / ratio;
      // Leave-one-out error of a Gaussian process: (A^-1 z)_i / (A^-1)_ii.
      const Eigen::MatrixXd inverse = A.llt().solve(Eigen::MatrixXd::Identity(A.rows(), A.cols()));
      const Eigen::MatrixXd alpha = inverse * z;
      double error = 0;
      for (Eigen::Index i = 0; i < alpha.rows(); ++i)
        error += trust[i] * (alpha.row(i) / inverse(i, i)).squaredNorm();
      if (error < least) {
        least = error;
        best.reach = reach;
        best.signal_to_noise = ratio;
      }
    }
  }
  return best;
}

LearntResidual learnt_from(const Frame& frame, const LearntShape& shape,
                           const Eigen::MatrixXd& lack, const Eigen::VectorXd& weight,
                           const std::vector<std::size_t>& held_out) {
  LearntResidual learnt;
  learnt.shape = shape.shape;
  learnt.load_scale = frame.top_load;
  learnt.reach = shape.reach;
  std::vector<Eigen::Index> kept;
  for (std::size_t m = 0; m < frame.problem.swatches.size(); ++m) {
    if (std::find(held_out.begin(), held_out.end(), m) != held_out.end()) continue;
    kept.push_back(static_cast<Eigen::Index>(m));
    learnt.site.push_back(frame.problem.swatches[m].loads);
  }
  const auto n = static_cast<Eigen::Index>(kept.size());
  Eigen::MatrixXd A = kernel_of(learnt);
  Eigen::MatrixXd z(n, static_cast<Eigen::Index>(shape.shape.size()));
  const Eigen::VectorXd noise = noise_of(weight);
  for (Eigen::Index i = 0; i < n; ++i) {
    const Eigen::Index m = kept[static_cast<std::size_t>(i)];
    A(i, i) += noise[m] / shape.signal_to_noise;
    for (std::size_t p = 0; p < shape.shape.size(); ++p)
      z(i, static_cast<Eigen::Index>(p)) =
          lack.row(m).dot(Eigen::Map<const Eigen::VectorXd>(shape.shape[p].data(), lack.cols()));
  }
  const Eigen::MatrixXd weights = A.llt().solve(z);
  for (Eigen::Index p = 0; p < weights.cols(); ++p)
    learnt.weight.emplace_back(weights.col(p).data(), weights.col(p).data() + n);
  return learnt;
}

}  // namespace mendtone::calibration
