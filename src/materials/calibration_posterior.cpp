#include "materials/calibration_posterior.hpp"

#include <algorithm>
#include <cmath>

#include "materials/learnt.hpp"
#include "mendtone/base/random.hpp"

namespace mendtone::calibration {
namespace {

constexpr std::size_t likely_mixtures = 100;
constexpr std::size_t candidate_mixtures = 240;
constexpr int first_threes = 20;
constexpr Eigen::Index most_directions = 60;
constexpr double kept_variance = 0.998;

struct Range {
  double low, high;
};

std::vector<Range> read_range(const CalibrationProblem& problem) {
  std::vector<Range> range(problem.colorants.size(), {1e300, 0});
  for (const CalibrationSwatch& swatch : problem.swatches)
    for (std::size_t j = 0; j < range.size(); ++j)
      if (swatch.loads[j] > 0) {
        range[j].low = std::min(range[j].low, swatch.loads[j]);
        range[j].high = std::max(range[j].high, swatch.loads[j]);
      }
  return range;
}

std::vector<double> some_mixture(const std::vector<Range>& range, CounterRandom& random,
                                 std::size_t least = 2) {
  const auto n = static_cast<std::uint32_t>(range.size());
  const auto choices = static_cast<std::uint32_t>(4 - least);
  const std::size_t parts = std::min<std::size_t>(n, least + random.below(choices));
  std::vector<double> loads(n, 0.0);
  for (std::size_t made = 0; made < parts;) {
    const std::size_t j = random.below(n);
    if (loads[j] > 0) continue;
    // Parts of a mixture are usually weaker than a ladder's darkest rung.
    const double high = std::max(range[j].low, range[j].high / 2);
    loads[j] = range[j].low * std::pow(high / range[j].low, random.uniform());
    ++made;
  }
  return loads;
}

/// Backings over which swatches were read, the first of each name.
std::vector<SwatchReading> backings_read(const CalibrationProblem& problem) {
  std::vector<SwatchReading> all;
  for (const CalibrationSwatch& swatch : problem.swatches)
    for (const SwatchReading& over : swatch.over)
      if (std::none_of(all.begin(), all.end(),
                       [&](const SwatchReading& known) { return known.backing == over.backing; }))
        all.push_back(over);
  return all;
}

/// A problem whose swatches are `mixtures` as the fit predicts them.
CalibrationProblem imagined(const CalibrationProblem& problem, const Palette& palette,
                            const std::vector<std::vector<double>>& mixtures) {
  CalibrationProblem other = problem;
  other.swatches.clear();
  for (const std::vector<double>& loads : mixtures) {
    CalibrationSwatch swatch{"", loads, 1, backings_read(problem), ""};
    for (SwatchReading& over : swatch.over) over.R = reflectance(palette, loads, 1, over.below);
    other.swatches.push_back(std::move(swatch));
  }
  return other;
}

/// Colour rows (three a reading) of every swatch, in the space of all parameters, and their own
/// error's covariance.
struct ColourRows {
  Eigen::MatrixXd J;                   ///< rows x parameters
  std::vector<Eigen::MatrixXd> error;  ///< [swatch]
  Eigen::Index per_swatch = 3;
};

ColourRows colour_rows(const Frame& frame, const Fit& fit) {
  const std::size_t count = frame.problem.swatches.size();
  const auto readings = static_cast<Eigen::Index>(frame.problem.swatches.front().over.size());
  const auto B = static_cast<Eigen::Index>(fit.layout.bands());
  ColourRows rows;
  rows.per_swatch = 3 * readings;
  rows.J =
      Eigen::MatrixXd::Zero(static_cast<Eigen::Index>(count) * rows.per_swatch, fit.layout.size());
  for (std::size_t m = 0; m < count; ++m) {
    const Linear linear = linearised(frame, fit.layout, fit.theta, m);
    const Eigen::Index n = linear.dosing.cols();
    Eigen::MatrixXd dosing(rows.per_swatch, n);
    for (Eigen::Index b = 0; b < readings; ++b) {
      dosing.middleRows(3 * b, 3) = linear.dosing.middleRows(b * (3 + B), 3);
      Eigen::Index column = 0;
      for (const auto& [to, length] : linear.segment) {
        rows.J.block(static_cast<Eigen::Index>(m) * rows.per_swatch + 3 * b, to, 3, length) =
            linear.J.block(b * (3 + B), column, 3, length);
        column += length;
      }
    }
    const Eigen::MatrixXd shape = Eigen::MatrixXd::Identity(n, n) + Eigen::MatrixXd::Ones(n, n);
    const double d2 = fit.noise.dosing * fit.noise.dosing;
    Eigen::MatrixXd error = d2 * dosing * shape * dosing.transpose();
    error.diagonal().array() += fit.noise.colour * fit.noise.colour;
    rows.error.push_back(std::move(error));
  }
  return rows;
}

/// From the fit's parameters to the palette's, for one direction.
std::vector<double> in_palette_terms(const Frame& frame, const Layout& layout,
                                     const Eigen::VectorXd& theta, const Eigen::VectorXd& v) {
  const std::size_t n = layout.colorants(), bands = layout.bands();
  std::vector<double> out(2 * n * (bands + 1) + 4, 0.0);
  for (std::size_t j = 0; j < n; ++j) {
    const double top = frame.top_load[j];
    double unit = 1 / top, unit_slope = 0, law_slope = 0;
    const double dp = layout.curved() ? v[layout.curve(j)] : 0;
    if (layout.law().load == LoadLaw::Kind::power) {
      unit = std::pow(top, -theta[layout.curve(j)]);
      unit_slope = -std::log(top) * unit;
      law_slope = 1;
    } else if (layout.law().load == LoadLaw::Kind::saturating) {
      const double eta = theta[layout.curve(j)];
      unit = (1 + eta) / top;
      unit_slope = 1 / top;
      law_slope = eta > 1e-9 ? -top / (eta * eta) : 0;
    }
    for (std::size_t i = 0; i < bands; ++i) {
      const auto at = static_cast<Eigen::Index>(i);
      out[j * bands + i] = unit * v[layout.k(j) + at] + unit_slope * dp * theta[layout.k(j) + at];
      if (layout.law().scatters)
        out[(n + j) * bands + i] =
            unit * v[layout.s(j) + at] + unit_slope * dp * theta[layout.s(j) + at];
    }
    out[2 * n * bands + j] = law_slope * dp;
    if (layout.law().filling)
      out[2 * n * bands + n + j] =
          unit * v[layout.filling(j)] + unit_slope * dp * theta[layout.filling(j)];
  }
  if (layout.law().interface) {
    out[out.size() - 4] = v[layout.k1()];
    out[out.size() - 3] = v[layout.k2()];
  }
  return out;
}

/// The information of all parameters. One at a bound may still move away from it, as a density
/// exp(-g x - h x^2 / 2) over x >= 0 allows, whose second moment 1 / (h + g^2 / 2) meets both ends.
Eigen::MatrixXd information_with_bounds(const Fit& fit) {
  Eigen::MatrixXd H = fit.information.selfadjointView<Eigen::Lower>();
  for (std::size_t i = 0; i < fit.free.size(); ++i) {
    const auto at = static_cast<Eigen::Index>(i);
    if (!fit.free[i]) H(at, at) += fit.gradient[at] * fit.gradient[at] / 2;
  }
  return H;
}

}  // namespace

Open what_is_open(const Frame& frame, const Fit& fit, Palette& palette) {
  const Eigen::MatrixXd H = information_with_bounds(fit);
  const Eigen::LLT<Eigen::MatrixXd> factor(H);
  Open open;
  open.posterior.dosing_sd = fit.noise.dosing;
  open.posterior.error_de00 = fit.noise.colour;

  // Standard errors: the diagonal of the inverse, one triangular inverse for all.
  Eigen::MatrixXd inverse = Eigen::MatrixXd::Identity(H.rows(), H.cols());
  factor.matrixL().solveInPlace(inverse);
  const Eigen::VectorXd sd = inverse.colwise().norm().transpose();
  const auto B = static_cast<Eigen::Index>(fit.layout.bands());
  for (std::size_t j = 0; j < palette.colorants.size(); ++j) {
    Colorant& colorant = palette.colorants[j];
    const double unit = 1 / colorant.law.value(frame.top_load[j]);
    colorant.k_se.assign(fit.layout.bands(), 0.0);
    colorant.s_se.assign(fit.layout.bands(), 0.0);
    for (Eigen::Index i = 0; i < B; ++i) {
      const auto at = static_cast<std::size_t>(i);
      colorant.k_se[at] = unit * sd[fit.layout.k(j) + i];
      if (fit.layout.law().scatters) colorant.s_se[at] = unit * sd[fit.layout.s(j) + i];
    }
  }
  // Condition of the scaled problem, from the factor's diagonal after each parameter is given
  // its own unit: cheap, and of the right order.
  const Eigen::VectorXd scale = H.diagonal().cwiseSqrt().cwiseInverse();
  const Eigen::MatrixXd scaled = scale.asDiagonal() * H * scale.asDiagonal();
  Eigen::VectorXd most = Eigen::VectorXd::Ones(H.rows()), least = most;
  for (int round = 0; round < 30; ++round) {
    most = (scaled.selfadjointView<Eigen::Lower>() * most).normalized();
    least =
        scale.cwiseInverse().asDiagonal() * factor.solve(scale.cwiseInverse().asDiagonal() * least);
    least.normalize();
  }
  const double high = most.dot(scaled * most), low = least.dot(scaled * least);
  open.condition_number = low > 0 ? high / low : 0;

  // Directions that matter: those in which likely mixtures vary.
  CounterRandom random(frame.problem.seed, 20);
  std::vector<std::vector<double>> mixtures;
  const std::vector<Range> range = read_range(frame.problem);
  for (std::size_t m = 0; m < likely_mixtures; ++m) mixtures.push_back(some_mixture(range, random));
  const CalibrationProblem likely = imagined(frame.problem, palette, mixtures);
  const Frame seen(likely, frame.top_load);
  const ColourRows rows = colour_rows(seen, fit);
  const Eigen::MatrixXd Z = factor.matrixL().solve(rows.J.transpose());
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> solved(Z.transpose() * Z);
  const double all = std::max(solved.eigenvalues().sum(), 1e-300);
  double kept = 0;
  for (Eigen::Index i = solved.eigenvalues().size() - 1; i >= 0; --i) {
    const double value = solved.eigenvalues()[i];
    if (value <= 0 || kept > kept_variance * all ||
        static_cast<Eigen::Index>(open.posterior.direction.size()) >= most_directions)
      break;
    kept += value;
    const Eigen::VectorXd whitened = Z * solved.eigenvectors().col(i) / std::sqrt(value);
    open.posterior.direction.push_back(
        in_palette_terms(frame, fit.layout, fit.theta, factor.matrixU().solve(whitened)));
  }
  return open;
}

namespace {

/// Adds what the law itself lacks: an error over loads, alike where loads are alike, that no
/// parameter takes up. Without it the advice asks for what would be most telling if the law were
/// true, far from the mixtures that will be wanted.
void add_lack(double lack_de00, const LearntResidual& space,
              const std::vector<std::vector<double>>& one,
              const std::vector<std::vector<double>>& two, Eigen::Index rows,
              Eigen::MatrixXd& between) {
  for (std::size_t i = 0; i < one.size(); ++i)
    for (std::size_t j = 0; j < two.size(); ++j)
      between
          .block(static_cast<Eigen::Index>(i) * rows, static_cast<Eigen::Index>(j) * rows, rows,
                 rows)
          .diagonal()
          .array() += lack_de00 * lack_de00 * learnt_kernel(space, one[i], two[j]);
}

}  // namespace

std::vector<AdvisedSwatch> advised(const Frame& frame, const Fit& fit, double lack_de00,
                                   int count) {
  std::vector<AdvisedSwatch> advice;
  if (count <= 0) return advice;
  const Palette palette = as_palette(frame, fit.layout, fit.theta);
  const std::vector<Range> range = read_range(frame.problem);
  CounterRandom random(frame.problem.seed, 21);
  std::vector<std::vector<double>> likely, candidates;
  for (std::size_t m = 0; m < likely_mixtures; ++m) likely.push_back(some_mixture(range, random));
  for (std::size_t j = 0; j < range.size(); ++j)
    for (double share : {0.15, 0.5, 1.0}) {
      candidates.emplace_back(range.size(), 0.0);
      candidates.back()[j] = std::max(range[j].low, share * range[j].high);
    }
  while (candidates.size() < candidate_mixtures)
    candidates.push_back(some_mixture(range, random, 3));
  const std::size_t threes = candidates.size();
  while (candidates.size() < 2 * candidate_mixtures)
    candidates.push_back(some_mixture(range, random));

  const Eigen::LLT<Eigen::MatrixXd> factor(information_with_bounds(fit));
  const CalibrationProblem likely_problem = imagined(frame.problem, palette, likely);
  const CalibrationProblem candidate_problem = imagined(frame.problem, palette, candidates);
  const Frame likely_frame(likely_problem, frame.top_load);
  const Frame candidate_frame(candidate_problem, frame.top_load);
  const ColourRows target = colour_rows(likely_frame, fit);
  const ColourRows source = colour_rows(candidate_frame, fit);
  const Eigen::MatrixXd Z = factor.matrixL().solve(target.J.transpose());
  const Eigen::MatrixXd C = factor.matrixL().solve(source.J.transpose());
  Eigen::MatrixXd between = C.transpose() * C, to_likely = C.transpose() * Z;
  LearntResidual space;
  space.load_scale = frame.top_load;
  space.reach = 0.6;
  add_lack(lack_de00, space, candidates, candidates, source.per_swatch, between);
  add_lack(lack_de00, space, candidates, likely, source.per_swatch, to_likely);
  double variance = Z.squaredNorm() + lack_de00 * lack_de00 * static_cast<double>(to_likely.cols());
  const double rows = static_cast<double>(Z.cols()) / 3;  // three axes make one difference
  const Eigen::Index q = source.per_swatch;
  for (int made = 0; made < count; ++made) {
    // Three colorants at a time teach most while most is open; later, what she is likely to mix.
    const bool first = made < first_threes;
    std::size_t best = 0;
    double best_gain = -1;
    for (std::size_t c = first ? 0 : threes; c < (first ? threes : candidates.size()); ++c) {
      const Eigen::Index at = static_cast<Eigen::Index>(c) * q;
      const Eigen::MatrixXd S = between.block(at, at, q, q) + source.error[c];
      const Eigen::MatrixXd L = S.llt().matrixL();
      const double gain =
          L.triangularView<Eigen::Lower>().solve(to_likely.middleRows(at, q)).squaredNorm();
      if (gain > best_gain) {
        best = c;
        best_gain = gain;
      }
    }
    const Eigen::Index at = static_cast<Eigen::Index>(best) * q;
    const Eigen::MatrixXd S = between.block(at, at, q, q) + source.error[best];
    const Eigen::MatrixXd column = between.middleCols(at, q);
    const Eigen::MatrixXd row = to_likely.middleRows(at, q);
    const Eigen::LLT<Eigen::MatrixXd> solve(S);
    to_likely -= column * solve.solve(row);
    between -= column * solve.solve(column.transpose());
    advice.push_back({candidates[best], std::sqrt(variance / rows),
                      std::sqrt(std::max(variance - best_gain, 0.0) / rows)});
    variance -= best_gain;
  }
  return advice;
}

}  // namespace mendtone::calibration
