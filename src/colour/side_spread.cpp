#include "colour/side_spread.hpp"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>

namespace mendtone::detail {
namespace {

using Matrix = Eigen::Matrix3d;
using Vector = Eigen::Vector3d;

/// What the form 'alike on all axes' is worth, in readings: enough that two readings, which span
/// one axis, leave no axis without spread. By simulation over forms from round to one axis in five.
constexpr double round_form = 0.7;
/// How many readings of its own a side needs before its own form counts as much as the shared one.
constexpr double shared_form = 3;

double mean_square(const SideReadings& side) {
  return side.scatter.trace() / (3.0 * side.freedom());
}

/// Shared form of both sides' spread, its mean variance 1.
Matrix form_of(const std::array<const SideReadings*, 2>& sides) {
  Matrix form = round_form * Matrix::Identity();
  for (const SideReadings* side : sides)
    if (side->freedom() > 0 && side->scatter.trace() > 0)
      form += side->scatter / mean_square(*side);
  return form * (3 / form.trace());
}

Vector normal_vector(CounterRandom& random) {
  const double x = random.normal(), y = random.normal(), z = random.normal();
  return {x, y, z};
}

/// Sum of squares and products about their mean of n standard normal vectors: Wishart with n - 1
/// degrees of freedom, by Bartlett's decomposition where it has one.
Matrix draw_scatter(CounterRandom& random, int n) {
  const int freedom = n - 1;
  if (freedom < 3) {
    Matrix sum = Matrix::Zero();
    for (int i = 0; i < freedom; ++i) {
      const Vector z = normal_vector(random);
      sum += z * z.transpose();
    }
    return sum;
  }
  Matrix lower = Matrix::Zero();
  for (int i = 0; i < 3; ++i) {
    lower(i, i) = std::sqrt(draw_chi_square(random, freedom - i));
    for (int j = 0; j < i; ++j) lower(i, j) = random.normal();
  }
  return lower * lower.transpose();
}

Matrix root_of(const Matrix& covariance) {
  const Matrix lifted = covariance + 1e-15 * (1 + covariance.trace()) * Matrix::Identity();
  return lifted.llt().matrixL();
}

}  // namespace

Matrix SideSpreads::of_difference() const {
  return reading[0] / n[0] + reading[1] / n[1];
}

SideSpreads side_spreads(const SideReadings& before, const SideReadings& after,
                         const KnownSize& known) {
  const std::array<const SideReadings*, 2> sides{&before, &after};
  const Matrix form = form_of(sides);
  SideSpreads spreads;
  for (std::size_t i = 0; i < 2; ++i) {
    const SideReadings& own = *sides[i];
    const SideReadings& read = own.freedom() > 0 ? own : *sides[1 - i];
    spreads.n[i] = own.n;
    const double freedom = read.freedom();
    // Readings spread on three axes, unequally: their size is as well known as one axis alone.
    spreads.freedom[i] = freedom + known.freedom;
    const double square = freedom > 0 ? mean_square(read) : 0;
    const double size = (freedom * square + known.freedom * known.variance) / spreads.freedom[i];
    Matrix own_form = form;
    if (freedom > 0 && square > 0)
      own_form = (read.scatter / square + shared_form * form) / (freedom + shared_form);
    spreads.reading[i] = size * own_form;
  }
  return spreads;
}

SessionDraw draw_session(CounterRandom& random, const SideSpreads& spreads,
                         const KnownSize& known) {
  SessionDraw draw;
  draw.error = Vector::Zero();
  std::array<SideReadings, 2> sides;
  for (std::size_t i = 0; i < 2; ++i) {
    const double size = std::sqrt(spreads.freedom[i] / draw_chi_square(random, spreads.freedom[i]));
    const Matrix root = size * root_of(spreads.reading[i]);
    draw.error += root * normal_vector(random) / std::sqrt(spreads.n[i]);
    sides[i].n = spreads.n[i];
    sides[i].scatter = root * draw_scatter(random, spreads.n[i]) * root.transpose();
  }
  draw.estimated = side_spreads(sides[0], sides[1], known);
  return draw;
}

double draw_chi_square(CounterRandom& random, double freedom) {
  // Marsaglia & Tsang's gamma method, shape freedom / 2.
  const double shape = freedom / 2, lifted = shape < 1 ? shape + 1 : shape;
  const double d = lifted - 1.0 / 3, c = 1 / std::sqrt(9 * d);
  for (;;) {
    const double x = random.normal(), root = 1 + c * x, v = root * root * root;
    if (v <= 0 || std::log(random.uniform()) >= x * x / 2 + d - d * v + d * std::log(v)) continue;
    return 2 * d * v * (shape < 1 ? std::pow(random.uniform(), 1 / shape) : 1);
  }
}

}  // namespace mendtone::detail
