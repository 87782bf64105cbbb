#include "mendtone/colour/change.hpp"

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <vector>

#include "colour/ciede2000_terms.hpp"
#include "colour/side_spread.hpp"
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
  detail::SideSpreads spreads;
  detail::KnownSize known;  ///< of one reading's error, before any repeat
  double stated = 0;        ///< variance per axis of what does not average out
  SpreadFrom from = SpreadFrom::covariance;

  bool repeats_known() const { return from != SpreadFrom::stated; }
  Matrix of_repeats() const {
    return repeats_known() ? spreads.of_difference() : Matrix(Matrix::Zero());
  }
  Matrix covariance() const { return of_repeats() + stated * Matrix::Identity(); }
};

double square(double x) {
  return x * x;
}

/// Variance per axis of the difference of two, from their mean CIEDE2000.
double variance_between_two(double mean_de00) {
  return square(mean_de00 / mean_length);
}

detail::SideReadings in_axes(const Matrix& axes, const ColourSeries& series) {
  return {static_cast<int>(series.each.size()), axes * scatter(series) * axes.transpose()};
}

/// What was stated of the repeatability is believed like so many squared readings.
constexpr double stated_freedom = 4;

Measured measured(const ColourSeries& before, const ColourSeries& after, const ChangeSettings& s) {
  Measured m;
  Matrix axes = ciede2000_axes(before.mean, after.mean, s.factors);
  const double target = de00(before.mean, after.mean, s.factors);
  const Vector d = vector_of(after.mean) - vector_of(before.mean);
  const double length = (axes * d).norm();
  // The frozen axes are exact for small hue differences; the rest is taken up here.
  if (length > 0 && target > 0) axes *= target / length;
  m.u = axes * d;
  m.stated = variance_between_two(s.reproducibility_de00) + variance_between_two(s.reseating_de00);
  if (s.repeatability_de00 > 0)
    m.known = {variance_between_two(s.repeatability_de00) / 2, stated_freedom};
  const auto one = in_axes(axes, before), two = in_axes(axes, after);
  if (one.freedom() + two.freedom() == 0 && m.known.freedom == 0) {
    m.from = SpreadFrom::stated;
    m.stated += variance_between_two(s.single_reading_de00);
    return m;
  }
  m.spreads = detail::side_spreads(one, two, m.known);
  if (m.known.freedom > 0 && std::min(one.n, two.n) < 3)
    m.from = SpreadFrom::with_repeatability;
  else if (one.freedom() + two.freedom() < 4)
    m.from = SpreadFrom::pooled_axes;
  return m;
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
    CounterRandom random(s.seed);
    for (int i = 0; i < s.draws; ++i) draws_.push_back(draw(random));
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
    std::size_t farther = 0;
    for (const Draw& draw : draws_) farther += distance(draw, Vector::Zero(), 0) >= T2;
    return static_cast<double>(farther) / static_cast<double>(draws_.size());
  }

 private:
  struct Draw {
    Vector error;
    Axes axes;
  };

  Draw draw(CounterRandom& random) const {
    const Matrix stated = measured_.stated * Matrix::Identity();
    const double deviation = std::sqrt(measured_.stated);
    Draw draw;
    draw.error = {random.normal(), random.normal(), random.normal()};
    draw.error *= deviation;
    if (!measured_.repeats_known()) {
      draw.axes = axes_of(stated);
      return draw;
    }
    const auto session = detail::draw_session(random, measured_.spreads, measured_.known);
    draw.error += session.error;
    draw.axes = axes_of(session.estimated.of_difference() + stated);
    return draw;
  }

  static double distance(const Draw& draw, const Vector& truth, double length) {
    const Vector w = draw.axes.directions.transpose() * (truth + draw.error);
    return squared_distance(w, nearest_of_length(w, draw.axes.variance, length),
                            draw.axes.variance);
  }

  const Measured& measured_;
  Axes axes_;
  Vector own_;
  std::vector<Draw> draws_;
};

/// Mean length of what an unchanged spot would show, its errors spreading as they were seen to.
double mean_noise(const Matrix& covariance, const ChangeSettings& s) {
  const Vector deviation = axes_of(covariance).variance.cwiseSqrt();
  CounterRandom random(s.seed);
  double sum = 0;
  for (int i = 0; i < s.draws; ++i) {
    const Vector z(random.normal(), random.normal(), random.normal());
    sum += deviation.cwiseProduct(z).norm();
  }
  return sum / s.draws;
}

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

/// Along one direction: what the repeats of each side add to the variance of the difference, and
/// what does not average out.
struct Along {
  std::array<double, 2> side{0, 0};
  double stated = 0;
  double freedom = std::numeric_limits<double>::infinity();

  double variance() const { return side[0] + side[1] + stated; }
};

/// The effective degrees of freedom are Welch and Satterthwaite's; what was stated counts as known.
Along along(const Vector& direction, const Measured& m) {
  Along found;
  found.stated = m.stated;
  if (!m.repeats_known()) return found;
  double shares = 0;
  for (std::size_t i = 0; i < 2; ++i) {
    found.side[i] = direction.dot(m.spreads.reading[i] * direction) / m.spreads.n[i];
    shares += square(found.side[i]) / m.spreads.freedom[i];
  }
  if (shares > 0) found.freedom = square(found.variance()) / shares;
  return found;
}

Vector direction_of(const Measured& m) {
  const double length = m.u.norm();
  if (length > 0) return m.u / length;
  Eigen::Index widest = 0;
  const Axes axes = axes_of(m.of_repeats());
  axes.variance.maxCoeff(&widest);
  return axes.directions.col(widest);
}

/// Whether readings decide, by Student's interval along the difference: quick, for counting only.
bool decides(const Vector& u, const Measured& m, double tolerance) {
  Measured seen = m;
  seen.u = u;
  const Along a = along(direction_of(seen), seen);
  const double arm = student_quantile(1 - level / 2, a.freedom) * std::sqrt(a.variance());
  return u.norm() + arm <= tolerance || u.norm() - arm >= tolerance;
}

/// The chance that `more` readings on each side, beside those at hand, decide. The truth is drawn
/// from what the readings leave open, and the readings to come about it.
double chance_to_decide(const Measured& m, int more, const ChangeSettings& s) {
  constexpr int trials = 300;  // a chance of 80 % is then known to 2.3 %
  CounterRandom random(s.seed, static_cast<std::uint64_t>(more));
  int decided = 0;
  for (int i = 0; i < trials; ++i) {
    const auto now = detail::draw_session(random, m.spreads, m.known);
    Measured then = m;
    Vector to_come = Vector::Zero();  // mean of the readings to come, less the truth
    std::array<double, 2> share{};    // of the readings to come among all
    for (std::size_t side = 0; side < 2; ++side) {
      const int n = m.spreads.n[side];
      then.spreads.n[side] = n + more;
      then.spreads.freedom[side] += more;
      share[side] = static_cast<double>(more) / (n + more);
    }
    // Both sides have their own share; along the difference it is the wider side's that counts.
    const Along a = along(direction_of(m), m);
    const double both = a.side[0] + a.side[1];
    const double weight =
        both > 0 ? (a.side[0] * share[0] + a.side[1] * share[1]) / both : share[0];
    detail::SideSpreads fresh = m.spreads;
    fresh.n = {more, more};
    to_come = detail::draw_session(random, fresh, m.known).error;
    // Truth: u less today's error. Mean of all: today's and the new, weighed.
    const Vector truth = m.u - now.error;
    const Vector u = (1 - weight) * m.u + weight * (truth + to_come);
    decided += decides(u, then, s.tolerance_de00);
  }
  return static_cast<double>(decided) / trials;
}

struct MoreReadings {
  int count = 0;
  double chance = 0;
};

/// The fewest more readings that decide four times in five.
std::optional<MoreReadings> more_readings(const Measured& m, const ChangeSettings& s) {
  constexpr int most = 50;  // nobody reads a spot more often
  constexpr double enough = 0.8;
  if (!m.repeats_known() || chance_to_decide(m, most, s) < enough) return std::nullopt;
  int too_few = 0, count = most;
  while (count - too_few > 1) {
    const int middle = (count + too_few) / 2;
    (chance_to_decide(m, middle, s) >= enough ? count : too_few) = middle;
  }
  return MoreReadings{count, chance_to_decide(m, count, s)};
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

std::string more_readings_words(int count) {
  return std::to_string(count) + " more reading" + (count == 1 ? "" : "s") +
         " on each side decide" + (count == 1 ? "s" : "") + " in 80 % of cases";
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
  const Along a = along(direction_of(m), m);
  const double u = std::sqrt(a.variance());
  Change found;
  found.de00 = m.u.norm();
  found.spread_from = m.from;
  found.noise_de00 = mean_noise(m.covariance(), s);
  found.unbiased_de00 = std::sqrt(std::max(0.0, square(found.de00) - m.covariance().trace()));
  found.zero_probability = test.zero_probability();
  found.interval95 =
      kept_lengths(test, found.de00, std::max(u, 1e-4), found.zero_probability >= level);
  found.u95 = std::max(found.interval95[1] - found.de00, found.de00 - found.interval95[0]);
  found.within_probability =
      conformance_probability(found.de00, std::max(u, 1e-9), s.tolerance_de00, a.freedom);
  found.guarded_limit_de00 = acceptance_limit(s.tolerance_de00, found.interval95[1] - found.de00);
  if (found.de00 <= found.guarded_limit_de00)
    found.verdict = Verdict::within;
  else if (found.interval95[0] >= s.tolerance_de00)
    found.verdict = Verdict::beyond;
  if (found.verdict != Verdict::undecided) return found;
  if (const auto more = more_readings(m, s)) {
    found.more_readings = more->count;
    found.more_readings_chance = more->chance;
  }
  return found;
}

}  // namespace mendtone
