#include "mendtone/colour/change.hpp"

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <vector>

#include "colour/ciede2000_terms.hpp"
#include "mendtone/base/random.hpp"
#include "mendtone/colour/conformance.hpp"

namespace mendtone {
namespace {

using Matrix = Eigen::Matrix3d;
using Vector = Eigen::Vector3d;

constexpr double level = 0.05;
/// Mean length of a standard normal vector in three dimensions.
const double mean_length = std::sqrt(8 / std::numbers::pi);

Vector vector_of(const Lab& lab) {
  return {lab.L, lab.a, lab.b};
}

/// CIELAB differences near this pair to axes in which CIEDE2000 is the length.
Matrix ciede2000_axes(const Lab& before, const Lab& after, const De00Factors& k) {
  const detail::De00Terms t = detail::de00_terms(before, after);
  const double h = t.hbar * std::numbers::pi / 180;
  const double fL = 1 / (k.kL * t.SL), fC = 1 / (k.kC * t.SC), fH = 1 / (k.kH * t.SH);
  const Eigen::RowVector3d lightness(fL, 0, 0);
  const Eigen::RowVector3d chroma(0, fC * (1 + t.G) * std::cos(h), fC * std::sin(h));
  const Eigen::RowVector3d hue(0, -fH * (1 + t.G) * std::sin(h), fH * std::cos(h));
  Matrix axes;  // c^2 + h^2 + RT c h = (c + RT h / 2)^2 + (1 - RT^2 / 4) h^2
  axes.row(0) = lightness;
  axes.row(1) = chroma + t.RT / 2 * hue;
  axes.row(2) = std::sqrt(std::max(0.0, 1 - t.RT * t.RT / 4)) * hue;
  return axes;
}

Matrix scatter(const ColourSeries& series) {
  Vector mean = Vector::Zero();
  for (const Lab& one : series.each) mean += vector_of(one);
  mean /= static_cast<double>(series.each.size());
  Matrix sum = Matrix::Zero();
  for (const Lab& one : series.each) {
    const Vector d = vector_of(one) - mean;
    sum += d * d.transpose();
  }
  return sum;
}

/// The measured vector and all that is known of its errors, in the CIEDE2000 axes.
struct Measured {
  Vector u;
  Matrix repeat;      ///< covariance of one reading's repeat error
  double share = 0;   ///< 1/n before + 1/n after
  double stated = 0;  ///< variance per axis of what does not average out
  int freedom = 0;
  SpreadFrom from = SpreadFrom::covariance;

  Matrix covariance() const { return repeat * share + stated * Matrix::Identity(); }
};

double square(double x) {
  return x * x;
}

/// Variance per axis of the difference of two, from their mean CIEDE2000.
double variance_between_two(double mean_de00) {
  return square(mean_de00 / mean_length);
}

Measured measured(const ColourSeries& before, const ColourSeries& after, const ChangeSettings& s) {
  Measured m;
  Matrix axes = ciede2000_axes(before.mean, after.mean, s.factors);
  const double target = de00(before.mean, after.mean, s.factors);
  const Vector d = vector_of(after.mean) - vector_of(before.mean);
  const double length = (axes * d).norm();
  // The frozen axes are exact for small hue differences; the rest is taken up here.
  if (length > 0 && target > 0) axes *= target / length;
  m.u = axes * d;
  m.share =
      1.0 / static_cast<double>(before.each.size()) + 1.0 / static_cast<double>(after.each.size());
  m.freedom = static_cast<int>(before.each.size() + after.each.size()) - 2;
  m.stated = variance_between_two(s.reproducibility_de00) + variance_between_two(s.reseating_de00);
  if (m.freedom == 0) {
    m.from = SpreadFrom::stated;
    m.repeat = Matrix::Zero();
    m.stated += variance_between_two(s.single_reading_de00);
    return m;
  }
  m.repeat = axes * (scatter(before) + scatter(after)) * axes.transpose() / m.freedom;
  if (m.freedom >= 4) return m;
  m.from = SpreadFrom::pooled_axes;
  m.repeat = m.repeat.trace() / 3 * Matrix::Identity();
  return m;
}

double chi_square(CounterRandom& random, double freedom) {
  // Marsaglia & Tsang's gamma method, shape freedom / 2 >= 1/2.
  const double shape = freedom / 2, lifted = shape < 1 ? shape + 1 : shape;
  const double d = lifted - 1.0 / 3, c = 1 / std::sqrt(9 * d);
  for (;;) {
    const double x = random.normal(), v = square(1 + c * x) * (1 + c * x);
    if (v <= 0 || std::log(random.uniform()) >= x * x / 2 + d - d * v + d * std::log(v)) continue;
    const double gamma = d * v * (shape < 1 ? std::pow(random.uniform(), 1 / shape) : 1);
    return 2 * gamma;
  }
}

/// A covariance as it might have been estimated, over the true one: Wishart / freedom.
Matrix wishart_share(CounterRandom& random, const Measured& m) {
  if (m.from == SpreadFrom::stated) return Matrix::Identity();
  if (m.from == SpreadFrom::pooled_axes)
    return chi_square(random, 3.0 * m.freedom) / (3.0 * m.freedom) * Matrix::Identity();
  Matrix lower = Matrix::Zero();  // Bartlett's decomposition
  for (int i = 0; i < 3; ++i) {
    lower(i, i) = std::sqrt(chi_square(random, m.freedom - i));
    for (int j = 0; j < i; ++j) lower(i, j) = random.normal();
  }
  return lower * lower.transpose() / m.freedom;
}

/// A covariance in its own axes.
struct Axes {
  Vector variance;
  Matrix directions;  ///< columns
};

Axes axes_of(const Matrix& covariance) {
  Eigen::SelfAdjointEigenSolver<Matrix> solver;
  solver.computeDirect(covariance);
  return {solver.eigenvalues().cwiseMax(1e-12), solver.eigenvectors()};
}

/// The nearest vector of length `length` to w, distance in units of the variances. Lagrange:
/// x = w / (1 + m v), with m such that |x| = length.
Vector nearest_of_length(const Vector& w, const Vector& variance, double length) {
  if (length == 0) return Vector::Zero();
  Eigen::Index axis = 0;
  const double largest = variance.maxCoeff(&axis);
  const auto at = [&](double m) { return Vector(w.array() / (1 + m * variance.array())); };
  // In m, 1/|x| is nearly a straight line: Newton on it, kept inside a bracket.
  double low = -1 / largest, high = w.norm() / (length * variance.minCoeff());
  double m = 0;
  for (int i = 0; i < 60; ++i) {
    const Vector x = at(m);
    const double norm = x.norm();
    if (std::abs(norm - length) <= 1e-9 * length) return x;
    (norm > length ? low : high) = m;
    const double slope =
        -(x.array().square() * variance.array() / (1 + m * variance.array())).sum() / norm;
    const double next = m + (length - norm) * norm / (slope * length);
    m = next > low && next < high ? next : (low + high) / 2;
  }
  Vector x = at(m);
  // No part along the widest axis: what is missing of the length lies there, on either side.
  const double missing = length * length - x.squaredNorm();
  if (missing > 0) x[axis] = std::sqrt(square(x[axis]) + missing);
  return x;
}

double squared_distance(const Vector& w, const Vector& x, const Vector& variance) {
  return ((w - x).array().square() / variance.array()).sum();
}

/// The test of a true length, by simulation; the draws are made once and serve every length.
class LengthTest {
 public:
  LengthTest(const Measured& m, const ChangeSettings& s) : measured_(m) {
    const Matrix V = m.covariance();
    axes_ = axes_of(V);
    own_ = axes_.directions.transpose() * m.u;
    root_ = axes_.directions * axes_.variance.cwiseSqrt().asDiagonal();
    const Axes repeat = axes_of(m.repeat * m.share);
    const Matrix repeat_root = repeat.directions * repeat.variance.cwiseSqrt().asDiagonal();
    CounterRandom random(s.seed);
    for (int i = 0; i < s.draws; ++i) {
      Draw draw;
      draw.error = root_ * Vector(random.normal(), random.normal(), random.normal());
      draw.axes = axes_of(repeat_root * wishart_share(random, m) * repeat_root.transpose() +
                          m.stated * Matrix::Identity());
      draws_.push_back(draw);
    }
  }

  double mean_noise() const {
    double sum = 0;
    for (const Draw& draw : draws_) sum += draw.error.norm();
    return sum / static_cast<double>(draws_.size());
  }

  /// Share of chance results as far from `length` as the measured one, or farther.
  double probability(double length) const {
    if (length == 0) return zero_probability();
    const Vector nearest = nearest_of_length(own_, axes_.variance, length);
    const double seen = squared_distance(own_, nearest, axes_.variance);
    const Vector truth = axes_.directions * nearest;
    std::size_t farther = 0;
    for (const Draw& draw : draws_) farther += distance(draw, truth, length) >= seen;
    return static_cast<double>(farther) / static_cast<double>(draws_.size());
  }

  double zero_probability() const {
    const double T2 = squared_distance(own_, Vector::Zero(), axes_.variance);
    const double v = measured_.freedom;
    if (measured_.stated == 0 && measured_.from == SpreadFrom::covariance)
      return fisher_tail(T2 * (v - 2) / (3 * v), 3, v - 2);
    if (measured_.stated == 0) return fisher_tail(T2 / 3, 3, 3 * v);
    std::size_t farther = 0;
    for (const Draw& draw : draws_) farther += distance(draw, Vector::Zero(), 0) >= T2;
    return static_cast<double>(farther) / static_cast<double>(draws_.size());
  }

 private:
  struct Draw {
    Vector error;
    Axes axes;
  };

  static double distance(const Draw& draw, const Vector& truth, double length) {
    const Vector w = draw.axes.directions.transpose() * (truth + draw.error);
    return squared_distance(w, nearest_of_length(w, draw.axes.variance, length),
                            draw.axes.variance);
  }

  const Measured& measured_;
  Axes axes_;
  Vector own_;
  Matrix root_;
  std::vector<Draw> draws_;
};

/// The edge of the kept set between `kept` and `rejected`, to a thousandth of DeltaE00 or of u.
double edge(const LengthTest& test, double kept, double rejected, double grain) {
  while (std::abs(kept - rejected) > grain) {
    const double middle = (kept + rejected) / 2;
    (test.probability(middle) >= level ? kept : rejected) = middle;
  }
  return (kept + rejected) / 2;
}

std::array<double, 2> kept_lengths(const LengthTest& test, double length, double u,
                                   bool zero_kept) {
  const double grain = std::max(1e-4, u / 200);
  double beyond = length + 2 * u;
  while (test.probability(beyond) >= level) beyond += 2 * u;
  const double high = edge(test, std::max(length, beyond - 2 * u), beyond, grain);
  if (zero_kept) return {0, high};
  double below = std::max(0.0, length - 2 * u);
  while (below > 0 && test.probability(below) >= level) below = std::max(0.0, below - 2 * u);
  return {edge(test, std::min(length, below + 2 * u), below, grain), high};
}

/// Along the measured change: variance of one reading, and of what does not average out.
struct Radial {
  double repeat = 0, stated = 0;
};

Radial radial(const Measured& m) {
  const double length = m.u.norm();
  if (length > 0) {
    const Vector e = m.u / length;
    return {e.dot(m.repeat * e), m.stated};
  }
  return {axes_of(m.repeat).variance.maxCoeff(), m.stated};
}

/// Would `n` readings on each side, spread like these, decide?
bool would_decide(const Measured& m, const Radial& r, int n, double tolerance) {
  const double length = m.u.norm(), freedom = 2.0 * n - 2;
  const double u = std::sqrt(r.repeat * 2 / n + r.stated);
  const double arm = student_quantile(1 - level / 2, freedom) * u;
  if (length <= tolerance) return length + arm <= tolerance;
  const Axes V = axes_of(m.repeat * (2.0 / n) + m.stated * Matrix::Identity());
  const double T2 = squared_distance(V.directions.transpose() * m.u, Vector::Zero(), V.variance);
  const bool zero_rejected =
      freedom > 2 && fisher_tail(T2 * (freedom - 2) / (3 * freedom), 3, freedom - 2) < level;
  return length - arm >= tolerance && zero_rejected;
}

std::optional<int> more_readings(const Measured& m, int now, double tolerance) {
  const Radial r = radial(m);
  constexpr int most = 50;  // nobody reads a spot more often
  for (int n = std::max(now, 3); n <= most; ++n)
    if (n > now && would_decide(m, r, n, tolerance)) return n - now;
  return std::nullopt;
}

}  // namespace

std::string_view name_of(Verdict verdict) {
  switch (verdict) {
    case Verdict::within:
      return "within";
    case Verdict::beyond:
      return "beyond";
    case Verdict::undecided:
      break;
  }
  return "undecided";
}

Result<Change> change(const ColourSeries& before, const ColourSeries& after,
                      const ChangeSettings& s) {
  if (before.each.empty() || after.each.empty())
    return bad_input(std::string("a change needs readings before and after; found none ") +
                     (before.each.empty() ? "before" : "after"));
  if (s.draws < 1)
    return bad_request("at least one draw is needed, found " + std::to_string(s.draws));
  const Measured m = measured(before, after, s);
  const LengthTest test(m, s);
  const Radial r = radial(m);
  const double u = std::sqrt(r.repeat * m.share + r.stated);
  Change found;
  found.de00 = m.u.norm();
  found.spread_from = m.from;
  found.noise_de00 = test.mean_noise();
  found.unbiased_de00 = std::sqrt(std::max(0.0, square(found.de00) - m.covariance().trace()));
  found.zero_probability = test.zero_probability();
  found.interval95 =
      kept_lengths(test, found.de00, std::max(u, 1e-4), found.zero_probability >= level);
  found.u95 = std::max(found.interval95[1] - found.de00, found.de00 - found.interval95[0]);
  const double freedom =
      m.stated > 0 || m.freedom == 0 ? std::numeric_limits<double>::infinity() : m.freedom;
  found.within_probability =
      conformance_probability(found.de00, std::max(u, 1e-9), s.tolerance_de00, freedom);
  found.guarded_limit_de00 = acceptance_limit(s.tolerance_de00, found.interval95[1] - found.de00);
  if (found.de00 <= found.guarded_limit_de00)
    found.verdict = Verdict::within;
  else if (found.interval95[0] >= s.tolerance_de00)
    found.verdict = Verdict::beyond;
  if (found.verdict == Verdict::undecided)
    found.more_readings = more_readings(
        m, static_cast<int>(std::min(before.each.size(), after.each.size())), s.tolerance_de00);
  return found;
}

}  // namespace mendtone
