#include "materials/calibration_fit.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace mendtone::calibration {
namespace {

/// A reading counts as three of colour and this many more for its spectrum.
constexpr double spectral_freedom = 1.5;
/// Degrees of freedom of the Student law that stands for bad rungs.
constexpr double student_freedom = 5;
/// Squared distance per degree of freedom up to which a rung is as good as any: the law's own error
/// is not spread evenly over them.
constexpr double usual = 2;
constexpr Noise least_noise{0.03, 0.005}, most_noise{6, 0.4};
constexpr int most_steps = 30;

/// sqrt of the loads' covariance shape: one error a colorant, one as large for the whole sheet.
Eigen::MatrixXd dosing_root(Eigen::Index n) {
  Eigen::MatrixXd shape = Eigen::MatrixXd::Identity(n, n) + Eigen::MatrixXd::Ones(n, n);
  return shape.llt().matrixL();
}

/// Information that one swatch brings once its dosing error has been integrated out.
struct Whitened {
  Eigen::MatrixXd blind;  ///< directions that dosing makes blind, rows x colorants
  Eigen::VectorXd Y;      ///< y in units of the colour noise
  double distance2 = 0;
};

Whitened whitened(const Linear& linear, const Noise& noise) {
  const Eigen::Index n = linear.dosing.cols();
  const Eigen::MatrixXd E = linear.dosing * dosing_root(n) * (noise.dosing / noise.colour);
  const Eigen::MatrixXd M = Eigen::MatrixXd::Identity(n, n) + E.transpose() * E;
  const Eigen::MatrixXd L = M.llt().matrixL();
  Whitened w;
  w.blind = L.triangularView<Eigen::Lower>().solve(E.transpose()).transpose();
  w.Y = linear.y / noise.colour;
  w.distance2 = w.Y.squaredNorm() - (w.blind.transpose() * w.Y).squaredNorm();
  return w;
}

/// Distance of a swatch where its reading's own noise counts too: a dark band's reflectance, read
/// as well as a light one's, is a lightness read less well.
double distance2_as_read(const Linear& linear, const Noise& noise) {
  const Eigen::VectorXd sure = (1 + linear.reading.array() / (noise.colour * noise.colour)).rsqrt();
  Linear as_read;
  as_read.y = sure.cwiseProduct(linear.y);
  as_read.dosing = sure.asDiagonal() * linear.dosing;
  return whitened(as_read, noise).distance2;
}

double freedom(const Frame& frame, std::size_t m) {
  return (3 + spectral_freedom) * static_cast<double>(frame.problem.swatches[m].over.size());
}

/// Lower triangle of factor * J'J. A band's own row knows nothing of the k and s of other bands, so
/// only the colour rows are full.
Eigen::MatrixXd own_product(const Linear& linear, const Eigen::MatrixXd& J, Eigen::Index bands,
                            double factor) {
  assert(bands > 2);  // else a segment of an interface would pass for one of bands
  const Eigen::Index readings = J.rows() / (3 + bands);
  Eigen::MatrixXd colour(3 * readings, J.cols());
  for (Eigen::Index b = 0; b < readings; ++b)
    colour.middleRows(3 * b, 3) = J.middleRows(b * (3 + bands), 3);
  Eigen::MatrixXd local = Eigen::MatrixXd::Zero(linear.columns, linear.columns);
  local.selfadjointView<Eigen::Lower>().rankUpdate(colour.transpose(), factor);
  std::vector<Eigen::Index> column;
  std::vector<double> value;
  for (Eigen::Index i = 0; i < bands; ++i) {
    column.clear();
    Eigen::Index at = 0;
    for (const auto& [to, length] : linear.segment) {
      if (length == bands)
        column.push_back(at + i);
      else
        for (Eigen::Index k = 0; k < length; ++k) column.push_back(at + k);
      at += length;
    }
    value.resize(column.size());
    for (Eigen::Index b = 0; b < readings; ++b) {
      const Eigen::Index row = b * (3 + bands) + 3 + i;
      for (std::size_t k = 0; k < column.size(); ++k) value[k] = J(row, column[k]);
      for (std::size_t k = 0; k < column.size(); ++k)
        for (std::size_t l = 0; l <= k; ++l)
          local(column[k], column[l]) += factor * value[k] * value[l];
    }
  }
  return local;
}

/// Adds one swatch's share of the normal equations, times `factor`.
void add_information(const Linear& linear, const Noise& noise, double factor, Eigen::Index bands,
                     Eigen::MatrixXd& H, Eigen::VectorXd& g) {
  const Whitened w = whitened(linear, noise);
  const Eigen::MatrixXd J = linear.J / noise.colour;
  const Eigen::MatrixXd G = w.blind.transpose() * J;
  Eigen::MatrixXd local = own_product(linear, J, bands, factor);
  local.selfadjointView<Eigen::Lower>().rankUpdate(G.transpose(), -factor);
  const Eigen::VectorXd slope =
      factor * (J.transpose() * w.Y - G.transpose() * (w.blind.transpose() * w.Y));
  Eigen::Index row = 0;
  for (const auto& [to_row, rows] : linear.segment) {
    g.segment(to_row, rows) += slope.segment(row, rows);
    Eigen::Index column = 0;
    for (const auto& [to_column, columns] : linear.segment) {
      if (column > row) break;
      // Only the lower triangle is kept; segments stand in rising order of local place, not of
      // global, so a block may have to be turned over.
      if (column == row)
        H.block(to_row, to_column, rows, columns) +=
            local.block(row, column, rows, columns).triangularView<Eigen::Lower>().toDenseMatrix();
      else if (to_row > to_column)
        H.block(to_row, to_column, rows, columns) += local.block(row, column, rows, columns);
      else
        H.block(to_column, to_row, columns, rows) +=
            local.block(row, column, rows, columns).transpose();
      column += columns;
    }
    row += rows;
  }
}

/// A spectrum bends as spectra do: second differences of about a third of the local value are usual
/// between 10 nm bands. A weak pull to 0 settles what nothing was read of.
void expect_smooth(Prior& prior, const Eigen::VectorXd& around, Eigen::Index at, Eigen::Index B) {
  constexpr double bend = 0.3, part = 0.15, loose = 5;
  const double mean = around.segment(at, B).mean() + 1e-3;
  for (Eigen::Index i = 1; i + 1 < B; ++i) {
    const double sd = bend * (around[at + i] + part * mean);
    const Eigen::Vector3d d(1, -2, 1);
    prior.precision.block<3, 3>(at + i - 1, at + i - 1) += d * d.transpose() / (sd * sd);
  }
  for (Eigen::Index i = 0; i < B; ++i)
    prior.precision(at + i, at + i) += 1 / (loose * loose * (1 + mean) * (1 + mean));
}

/// Particles scatter with a low power of the wavelength, some percent from band to band, however
/// steeply they absorb. A film read over one light support says of scattering only what little its
/// pale bands change: without this they run away, and mixtures with them.
void expect_slow(Prior& prior, const Eigen::VectorXd& around, Eigen::Index at, Eigen::Index B,
                 bool film) {
  const double change = film ? 0.1 : 0.3;
  std::vector<double> sorted(around.data() + at, around.data() + at + B);
  std::nth_element(sorted.begin(), sorted.begin() + B / 2, sorted.end());
  const double sd = change * (sorted[static_cast<std::size_t>(B / 2)] + 0.03);
  for (Eigen::Index i = 0; i + 1 < B; ++i) {
    const Eigen::Vector2d d(1, -1);
    prior.precision.block<2, 2>(at + i, at + i) += d * d.transpose() / (sd * sd);
  }
}

/// What is expected of a law's parameter: bounds, the mean of a stock's colorants with its sd, and
/// how far each strays from that mean.
struct Expected {
  double centre, mean_sd, each_sd, low, high;
};

/// Colorants of one stock behave alike: each parameter, at `first` and after, is pulled towards
/// their mean, at `mean`.
void expect_alike(Prior& prior, Eigen::Index mean, Eigen::Index first, std::size_t colorants,
                  const Expected& e) {
  prior.precision(mean, mean) += 1 / (e.mean_sd * e.mean_sd);
  prior.centre[mean] = e.centre;
  prior.low[mean] = e.low;
  prior.high[mean] = e.high;
  for (std::size_t j = 0; j < colorants; ++j) {
    const Eigen::Index at = first + static_cast<Eigen::Index>(j);
    prior.low[at] = e.low;
    prior.high[at] = e.high;
    prior.centre[at] = e.centre;
    const double p = 1 / (e.each_sd * e.each_sd);
    prior.precision(at, at) += p;
    prior.precision(mean, mean) += p;
    prior.precision(at, mean) -= p;
    prior.precision(mean, at) -= p;
  }
}

/// A parameter of its own, between 0 and `high`.
void expect(Prior& prior, Eigen::Index at, double centre, double sd, double high) {
  prior.high[at] = high;
  prior.centre[at] = centre;
  prior.precision(at, at) += 1 / (sd * sd);
}

/// The figures are our own choice.
Prior prior_of(const Layout& layout, const Eigen::VectorXd& around, bool film) {
  const Eigen::Index n = layout.size();
  const auto B = static_cast<Eigen::Index>(layout.bands());
  const Law& law = layout.law();
  Prior prior{Eigen::VectorXd::Zero(n), Eigen::VectorXd::Constant(n, 1e3),
              Eigen::MatrixXd::Zero(n, n), Eigen::VectorXd::Zero(n)};
  for (std::size_t j = 0; j < layout.colorants(); ++j) {
    expect_smooth(prior, around, layout.k(j), B);
    if (!law.scatters) continue;
    expect_smooth(prior, around, layout.s(j), B);
    expect_slow(prior, around, layout.s(j), B, film);
  }
  const auto alike = [&](Eigen::Index mean, Eigen::Index first, const Expected& e) {
    expect_alike(prior, mean, first, layout.colorants(), e);
  };
  if (law.load == LoadLaw::Kind::power)
    alike(layout.curve_mean(), layout.curve(0), {1, 0.2, 0.1, 0.3, 1.8});
  if (law.load == LoadLaw::Kind::saturating)
    alike(layout.curve_mean(), layout.curve(0), {0.2, 0.4, 0.3, 0, 20});
  if (law.filling) alike(layout.filling_mean(), layout.filling(0), {0.02, 0.1, 0.05, 0, 3});
  if (law.interface) {
    expect(prior, layout.k1(), 0.01, 0.02, 0.06);
    expect(prior, layout.k2(), 0.4, 0.25, 0.75);
  }
  return prior;
}

/// Moment estimates of the two kinds of error from what is left, given the present ones.
Noise renewed(const Frame& frame, const std::vector<Linear>& linear, const Eigen::VectorXd& weight,
              const Noise& noise, const Layout& layout) {
  double dosing = 0, dosed = 0, colour = 0, freedoms = 0, readings = 0;
  for (std::size_t m = 0; m < linear.size(); ++m) {
    const Linear& at = linear[m];
    const double w = weight[static_cast<Eigen::Index>(m)];
    const Eigen::Index n = at.dosing.cols();
    const Whitened white = whitened(at, noise);
    const Eigen::MatrixXd root = dosing_root(n) * noise.dosing;
    const Eigen::MatrixXd E = at.dosing * root / noise.colour;
    const Eigen::MatrixXd V = (Eigen::MatrixXd::Identity(n, n) + E.transpose() * E).inverse();
    const Eigen::VectorXd z = -V * (E.transpose() * white.Y);
    dosing += w * noise.dosing * noise.dosing * (z.squaredNorm() + V.trace());
    dosed += w * static_cast<double>(n);
    const Eigen::VectorXd left = white.Y + E * z;
    colour +=
        w * noise.colour * noise.colour * (left.squaredNorm() + (E * V * E.transpose()).trace());
    freedoms += w * freedom(frame, m);
    readings += static_cast<double>(frame.problem.swatches[m].over.size());
  }
  // Each band of each colorant takes its share of the readings' freedom.
  const double parameters =
      static_cast<double>(layout.colorants()) * (layout.law().scatters ? 2 : 1);
  const double left = std::max(0.2, 1 - parameters / readings);
  Noise next{std::sqrt(colour / (freedoms * left)), std::sqrt(dosing / std::max(dosed, 1e-9))};
  next.colour = std::clamp(next.colour, least_noise.colour, most_noise.colour);
  next.dosing = std::clamp(next.dosing, least_noise.dosing, most_noise.dosing);
  return next;
}

struct State {
  Eigen::MatrixXd H;
  Eigen::VectorXd g;
};

State normal_equations(const Fit& fit, const Prior& prior) {
  State state{prior.precision.triangularView<Eigen::Lower>(),
              prior.precision * (fit.theta - prior.centre)};
  for (std::size_t m = 0; m < fit.linear.size(); ++m)
    add_information(fit.linear[m], fit.noise, fit.weight[static_cast<Eigen::Index>(m)],
                    static_cast<Eigen::Index>(fit.layout.bands()), state.H, state.g);
  return state;
}

void relinearise(const Frame& frame, Fit& fit) {
  for (std::size_t m = 0; m < fit.linear.size(); ++m)
    fit.linear[m] = linearised(frame, fit.layout, fit.theta, m);
}

void weigh(const Frame& frame, Fit& fit) {
  for (std::size_t m = 0; m < fit.linear.size(); ++m) {
    const double q = freedom(frame, m), d2 = distance2_as_read(fit.linear[m], fit.noise);
    const auto at = static_cast<Eigen::Index>(m);
    fit.distance[at] = d2 / q;
    fit.weight[at] = std::min(1.0, (student_freedom + usual * q) / (student_freedom + d2));
  }
}

/// The objective at `theta`, with the whitening of `fit`'s linearisation.
double objective(const Frame& frame, const Fit& fit, const Prior& prior,
                 const std::vector<Whitened>& white, const Eigen::VectorXd& theta) {
  const Eigen::VectorXd away = theta - prior.centre;
  double sum = away.dot(prior.precision * away);
  for (std::size_t m = 0; m < white.size(); ++m) {
    const Eigen::VectorXd Y = residuals(frame, fit.layout, theta, m) / fit.noise.colour;
    sum += fit.weight[static_cast<Eigen::Index>(m)] *
           (Y.squaredNorm() - (white[m].blind.transpose() * Y).squaredNorm());
  }
  return sum;
}

}  // namespace

Eigen::MatrixXd on_free(const Eigen::MatrixXd& information, const std::vector<bool>& free) {
  Eigen::MatrixXd H = information.selfadjointView<Eigen::Lower>();
  for (std::size_t i = 0; i < free.size(); ++i) {
    if (free[i]) continue;
    const auto at = static_cast<Eigen::Index>(i);
    H.row(at).setZero();
    H.col(at).setZero();
    H(at, at) = 1;
  }
  return H;
}

Fit fitted(const Frame& frame, const Layout& layout, Eigen::VectorXd theta, Noise noise) {
  const std::size_t swatches = frame.problem.swatches.size();
  Fit fit{layout,
          std::move(theta),
          noise,
          Eigen::VectorXd::Ones(static_cast<Eigen::Index>(swatches)),
          Eigen::VectorXd::Ones(static_cast<Eigen::Index>(swatches)),
          {},
          {},
          {},
          {},
          std::vector<Linear>(swatches)};
  const Prior prior = prior_of(layout, fit.theta, frame.problem.application == Application::film);
  double damping = 1e-3;
  for (int step = 0; step < most_steps; ++step) {
    relinearise(frame, fit);
    if (step > 0) fit.noise = renewed(frame, fit.linear, fit.weight, fit.noise, layout);
    weigh(frame, fit);
    const State state = normal_equations(fit, prior);
    std::vector<Whitened> white;
    for (const Linear& linear : fit.linear) white.push_back(whitened(linear, fit.noise));
    const double before = objective(frame, fit, prior, white, fit.theta);
    bool moved = false;
    double gained = 0;
    for (int attempt = 0; attempt < 6 && !moved; ++attempt) {
      // Bertsekas: a parameter at its bound whose slope pushes outward stays there.
      fit.free.assign(static_cast<std::size_t>(layout.size()), true);
      Eigen::VectorXd slope = state.g;
      for (Eigen::Index i = 0; i < layout.size(); ++i) {
        const bool low = fit.theta[i] <= prior.low[i] && state.g[i] > 0;
        const bool high = fit.theta[i] >= prior.high[i] && state.g[i] < 0;
        if (!low && !high) continue;
        fit.free[static_cast<std::size_t>(i)] = false;
        slope[i] = 0;
      }
      Eigen::MatrixXd H = on_free(state.H, fit.free);
      H.diagonal() *= 1 + damping;
      const Eigen::VectorXd next =
          (fit.theta - H.llt().solve(slope)).cwiseMax(prior.low).cwiseMin(prior.high);
      const double after = objective(frame, fit, prior, white, next);
      if (after < before) {
        gained = before - after;
        fit.theta = next;
        damping = std::max(damping / 10, 1e-7);
        moved = true;
      } else {
        damping *= 10;
      }
    }
    fit.information = state.H;
    fit.gradient = state.g;
    if (!moved || (step > 1 && gained < 1e-4 * before)) break;
  }
  relinearise(frame, fit);
  weigh(frame, fit);
  State last = normal_equations(fit, prior);
  fit.information = std::move(last.H);
  fit.gradient = std::move(last.g);
  for (Eigen::Index i = 0; i < layout.size(); ++i)
    fit.free[static_cast<std::size_t>(i)] =
        fit.theta[i] > prior.low[i] && fit.theta[i] < prior.high[i];
  fit.factor.compute(on_free(fit.information, fit.free));
  return fit;
}

double distance_beyond_dosing(const Frame& frame, const Layout& layout,
                              const Eigen::VectorXd& theta, std::size_t m, const Noise& noise) {
  const Whitened w = whitened(linearised(frame, layout, theta, m), noise);
  return noise.colour * std::sqrt(std::max(0.0, w.distance2) / freedom(frame, m));
}

Eigen::VectorXd without(const Fit& fit, const std::vector<std::size_t>& held_out) {
  const Eigen::Index n = fit.layout.size();
  Eigen::MatrixXd lost = Eigen::MatrixXd::Zero(n, n);
  Eigen::VectorXd g = Eigen::VectorXd::Zero(n);
  for (std::size_t m : held_out)
    add_information(fit.linear[m], fit.noise, fit.weight[static_cast<Eigen::Index>(m)],
                    static_cast<Eigen::Index>(fit.layout.bands()), lost, g);
  // The whole fit stands at its optimum, so only what the held-out swatches pulled remains; what
  // stands at a bound stays there.
  const auto keep_free = [&](Eigen::VectorXd& v) {
    for (Eigen::Index i = 0; i < n; ++i)
      if (!fit.free[static_cast<std::size_t>(i)]) v[i] = 0;
  };
  keep_free(g);
  // Conjugate gradients on (information - lost) x = -g, with the whole fit's factor before it: the
  // two differ by a fold only, so few rounds are needed.
  Eigen::VectorXd x = Eigen::VectorXd::Zero(n), residual = -g;
  Eigen::VectorXd z = fit.factor.solve(residual), direction = z;
  double rz = residual.dot(z);
  const double small = 1e-8 * rz;
  for (int round = 0; round < 60 && rz > small; ++round) {
    Eigen::VectorXd image = fit.information.selfadjointView<Eigen::Lower>() * direction -
                            lost.selfadjointView<Eigen::Lower>() * direction;
    keep_free(image);
    const double along = rz / direction.dot(image);
    x += along * direction;
    residual -= along * image;
    z = fit.factor.solve(residual);
    const double next = residual.dot(z);
    direction = z + (next / rz) * direction;
    rz = next;
  }
  return (fit.theta - x).cwiseMax(0.0);
}

}  // namespace mendtone::calibration
