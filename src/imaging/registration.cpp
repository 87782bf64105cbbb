#include "mendtone/imaging/registration.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

#include "mendtone/base/numbers.hpp"

namespace mendtone {
namespace {

using Matrix3 = Eigen::Matrix3d;

int unknowns(Alignment alignment) {
  switch (alignment) {
    case Alignment::similarity:
      return 4;
    case Alignment::affine:
      return 6;
    case Alignment::projective:
      return 8;
    case Alignment::none:
      break;
  }
  return 0;
}

PlaneMap map_of(const Matrix3& h) {
  PlaneMap map;
  for (int r = 0; r < 3; ++r)
    for (int c = 0; c < 3; ++c) map.m[static_cast<std::size_t>(3 * r + c)] = h(r, c) / h(2, 2);
  return map;
}

/// To mean 0 and root-mean-square radius of sqrt 2, without which the equations are
/// ill-conditioned. Ref: hartley1997
Matrix3 normalising(const std::vector<PointPair>& pairs, bool after) {
  double x = 0, y = 0, r = 0;
  const auto n = static_cast<double>(pairs.size());
  for (const auto& pair : pairs) {
    const Point& p = after ? pair.after : pair.before;
    x += p.x / n;
    y += p.y / n;
  }
  for (const auto& pair : pairs) {
    const Point& p = after ? pair.after : pair.before;
    r += ((p.x - x) * (p.x - x) + (p.y - y) * (p.y - y)) / n;
  }
  const double s = std::sqrt(2 / r);
  Matrix3 t;
  t << s, 0, -s * x, 0, s, -s * y, 0, 0, 1;
  return t;
}

Eigen::Vector3d applied(const Matrix3& t, const Point& p) {
  return t * Eigen::Vector3d(p.x, p.y, 1);
}

/// One linear system for all three; the projective one weighs its rows by the last denominator, so
/// that a few rounds give distances and not algebraic errors.
Result<Matrix3> fit(const std::vector<PointPair>& pairs, Alignment alignment) {
  const Matrix3 tb = normalising(pairs, false), ta = normalising(pairs, true);
  if (!tb.allFinite() || !ta.allFinite()) return bad_input("the point pairs all lie in one place");
  const int p = unknowns(alignment), n = static_cast<int>(pairs.size());
  Eigen::MatrixXd A(2 * n, p);
  Eigen::VectorXd rhs(2 * n), solution;
  Matrix3 h = Matrix3::Identity();
  const int rounds = alignment == Alignment::projective ? 20 : 1;
  for (int round = 0; round < rounds; ++round) {
    for (int i = 0; i < n; ++i) {
      const Eigen::Vector3d b = applied(tb, pairs[static_cast<std::size_t>(i)].before);
      const Eigen::Vector3d a = applied(ta, pairs[static_cast<std::size_t>(i)].after);
      const double x = b(0), y = b(1), u = a(0), v = a(1);
      const double w = round == 0 ? 1 : 1 / (h.row(2).dot(b));
      if (alignment == Alignment::similarity) {
        A.row(2 * i) << x, -y, 1, 0;
        A.row(2 * i + 1) << y, x, 0, 1;
      } else if (alignment == Alignment::affine) {
        A.row(2 * i) << x, y, 1, 0, 0, 0;
        A.row(2 * i + 1) << 0, 0, 0, x, y, 1;
      } else {
        A.row(2 * i) << x, y, 1, 0, 0, 0, -u * x, -u * y;
        A.row(2 * i + 1) << 0, 0, 0, x, y, 1, -v * x, -v * y;
        A.row(2 * i) *= w;
        A.row(2 * i + 1) *= w;
      }
      rhs(2 * i) = u * (alignment == Alignment::projective ? w : 1);
      rhs(2 * i + 1) = v * (alignment == Alignment::projective ? w : 1);
    }
    Eigen::ColPivHouseholderQR<Eigen::MatrixXd> qr(A);
    qr.setThreshold(1e-9);
    if (qr.rank() < p)
      return bad_input(
          "the point pairs lie on one line or too close together to tell how the "
          "photographs lie");
    solution = qr.solve(rhs);
    if (alignment == Alignment::similarity)
      h << solution(0), -solution(1), solution(2), solution(1), solution(0), solution(3), 0, 0, 1;
    else if (alignment == Alignment::affine)
      h << solution(0), solution(1), solution(2), solution(3), solution(4), solution(5), 0, 0, 1;
    else
      h << solution(0), solution(1), solution(2), solution(3), solution(4), solution(5),
          solution(6), solution(7), 1;
  }
  const Matrix3 result = ta.inverse() * h * tb;
  if (!result.allFinite() || std::abs(result(2, 2)) < 1e-12 ||
      std::abs(result.determinant()) < 1e-12)
    return bad_input("the point pairs give no sensible alignment");
  return result;
}

std::vector<double> distances(const PlaneMap& map, const std::vector<PointPair>& pairs) {
  std::vector<double> d;
  for (const auto& pair : pairs) {
    const Point q = map(pair.before);
    d.push_back(std::hypot(q.x - pair.after.x, q.y - pair.after.y));
  }
  return d;
}

}  // namespace

std::string_view name_of(Alignment alignment) {
  switch (alignment) {
    case Alignment::similarity:
      return "similarity";
    case Alignment::affine:
      return "affine";
    case Alignment::projective:
      return "projective";
    case Alignment::none:
      break;
  }
  return "none";
}

Point PlaneMap::operator()(Point p) const {
  const double w = m[6] * p.x + m[7] * p.y + m[8];
  return {(m[0] * p.x + m[1] * p.y + m[2]) / w, (m[3] * p.x + m[4] * p.y + m[5]) / w};
}

Result<Registration> register_pairs(const std::vector<PointPair>& pairs, Alignment alignment) {
  const auto least = static_cast<std::size_t>(unknowns(alignment) / 2 + 1);
  if (alignment == Alignment::none || pairs.size() < least)
    return bad_input("a " + std::string(name_of(alignment)) + " alignment needs at least " +
                     std::to_string(least) +
                     " point pairs, one to spare so that the residual can "
                     "be told; found " +
                     std::to_string(pairs.size()));
  auto h = MENDTONE_TRY(fit(pairs, alignment));
  Registration result;
  result.after_from_before = map_of(h);
  result.alignment = alignment;
  result.pairs = pairs.size();
  double sum = 0;
  for (const double d : distances(result.after_from_before, pairs)) {
    sum += d * d;
    result.worst_px = std::max(result.worst_px, d);
  }
  // Two numbers a pair, less what the alignment used up, brought back to a distance.
  const double freedom = 2.0 * static_cast<double>(pairs.size()) - unknowns(alignment);
  result.residual_px = std::sqrt(2 * sum / freedom);
  return result;
}

Result<Registration> register_robustly(std::vector<PointPair> pairs, Alignment alignment) {
  const std::size_t all = pairs.size();
  for (;;) {
    auto result = register_pairs(pairs, alignment);
    if (!result) return result;
    const std::vector<double> d = distances(result->after_from_before, pairs);
    std::vector<double> sorted = d;
    std::nth_element(sorted.begin(),
                     sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2), sorted.end());
    // The median distance of a plane normal error is 1.177 sigma.
    const double limit = std::max(0.25, 3 * sorted[sorted.size() / 2] / 1.177 * std::sqrt(2.0));
    const auto worst = std::max_element(d.begin(), d.end());
    if (*worst <= limit) {
      result->pairs_left_out = all - pairs.size();
      return result;
    }
    pairs.erase(pairs.begin() + (worst - d.begin()));
    if (pairs.size() * 2 < all)
      return bad_input("more than half of the places compared do not fit one alignment");
  }
}

}  // namespace mendtone
