#include "mendtone/imaging/correction.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>

#include "mendtone/colour/difference.hpp"
#include "mendtone/imaging/planar.hpp"

namespace mendtone {
namespace {

/// What the coefficients multiply: the first 3 or all 6.
std::array<double, 6> terms_of(const Xyz& t, PixelCorrection::Kind kind) {
  if (kind == PixelCorrection::Kind::matrix) return {t.X, t.Y, t.Z, 0, 0, 0};
  const double X = t.X * 0.9642, Y = t.Y, Z = t.Z * 0.8249;
  const double r = 0.8951 * X + 0.2664 * Y - 0.1614 * Z, g = -0.7502 * X + 1.7135 * Y + 0.0367 * Z,
               b = 0.0389 * X - 0.0685 * Y + 1.0296 * Z;
  // A response below 0 has no root; such colours lie outside all paper and paint.
  const auto root = [](double u, double v) {
    return std::sqrt(std::max(0.0, u) * std::max(0.0, v));
  };
  return {r, g, b, root(r, g), root(g, b), root(r, b)};
}

std::size_t count_of(PixelCorrection::Kind kind) {
  return kind == PixelCorrection::Kind::matrix ? 3 : 6;
}

Eigen::VectorXd vector_of(const Xyz& t, PixelCorrection::Kind kind) {
  const auto terms = terms_of(t, kind);
  return Eigen::Map<const Eigen::VectorXd>(terms.data(), static_cast<Eigen::Index>(count_of(kind)));
}

Eigen::Vector3d lab_vector(const Xyz& t) {
  const Lab lab =
      xyz_to_lab({t.X * image_white.X, t.Y * image_white.Y, t.Z * image_white.Z}, image_white);
  return {lab.L, lab.a, lab.b};
}

Xyz relative(const Lab& lab) {
  const Xyz t = lab_to_xyz(lab, image_white);
  return {t.X / image_white.X, t.Y / image_white.Y, t.Z / image_white.Z};
}

/// Linear least squares in light, then a few Gauss-Newton steps towards least squares in CIELAB.
Result<PixelCorrection> fit(const std::vector<Xyz>& measured, const std::vector<Xyz>& ought,
                            PixelCorrection::Kind kind) {
  const auto n = static_cast<Eigen::Index>(measured.size());
  const auto p = static_cast<Eigen::Index>(count_of(kind));
  Eigen::MatrixXd A(n, p), B(n, 3);
  for (Eigen::Index i = 0; i < n; ++i) {
    const auto k = static_cast<std::size_t>(i);
    // Weighted, so that dark patches count as the eye counts them.
    const double w = 1 / std::pow(std::max(ought[k].Y, 0.01), 2.0 / 3);
    A.row(i) = w * vector_of(measured[k], kind).transpose();
    B.row(i) << w * ought[k].X, w * ought[k].Y, w * ought[k].Z;
  }
  Eigen::ColPivHouseholderQR<Eigen::MatrixXd> qr(A);
  qr.setThreshold(1e-8);
  if (qr.rank() < p) return bad_input("the patches do not determine a correction");
  Eigen::MatrixXd C = qr.solve(B).transpose();  // 3 x p
  const auto lab_at = [&](const Eigen::MatrixXd& c, std::size_t i) {
    const Eigen::Vector3d out = c * vector_of(measured[i], kind);
    return lab_vector({out(0), out(1), out(2)});
  };
  for (int step = 0; step < 6; ++step) {
    Eigen::MatrixXd J(3 * n, 3 * p);
    Eigen::VectorXd residual(3 * n);
    for (Eigen::Index i = 0; i < n; ++i) {
      const auto k = static_cast<std::size_t>(i);
      const Eigen::VectorXd terms = vector_of(measured[k], kind);
      const Eigen::Vector3d here = lab_at(C, k), goal = lab_vector(ought[k]);
      residual.segment<3>(3 * i) = goal - here;
      const Eigen::Vector3d out = C * terms;
      for (int channel = 0; channel < 3; ++channel) {
        Eigen::Vector3d moved = out;
        const double h = 1e-6;
        moved(channel) += h;
        const Eigen::Vector3d slope = (lab_vector({moved(0), moved(1), moved(2)}) - here) / h;
        for (Eigen::Index j = 0; j < p; ++j)
          J.block<3, 1>(3 * i, channel * p + j) = slope * terms(j);
      }
    }
    const Eigen::VectorXd change = J.colPivHouseholderQr().solve(residual);
    Eigen::MatrixXd next = C;
    for (int channel = 0; channel < 3; ++channel)
      next.row(channel) += change.segment(channel * p, p).transpose();
    double before = residual.squaredNorm(), after = 0;
    for (std::size_t i = 0; i < measured.size(); ++i)
      after += (lab_vector(ought[i]) - lab_at(next, i)).squaredNorm();
    if (!(after < before)) break;
    C = next;
  }
  PixelCorrection correction{kind, {}};
  for (int channel = 0; channel < 3; ++channel)
    for (Eigen::Index j = 0; j < p; ++j) correction.coefficients.push_back(C(channel, j));
  return correction;
}

Lab lab_of(const Xyz& t) {
  const Eigen::Vector3d v = lab_vector(t);
  return {v(0), v(1), v(2)};
}

class CorrectedTransform final : public PixelTransform {
 public:
  CorrectedTransform(const PixelTransform& base, PixelCorrection correction)
      : base_(base), correction_(std::move(correction)) {}
  bool writable() const override { return false; }
  std::size_t from_lab(const float*, const float*, const float*, std::size_t,
                       std::uint16_t*) const override {
    assert(false);
    return 0;
  }
  void to_lab(const CodedSpan& coded, float* L, float* a, float* b) const override {
    base_.to_lab(coded, L, a, b);
    lab_to_relative_xyz(L, a, b, coded.count);
    for (std::size_t i = 0; i < coded.count; ++i) {
      const Xyz t = correction_.apply({L[i], a[i], b[i]});
      L[i] = static_cast<float>(t.X);
      a[i] = static_cast<float>(t.Y);
      b[i] = static_cast<float>(t.Z);
    }
    relative_xyz_to_lab(L, a, b, coded.count);
  }

 private:
  const PixelTransform& base_;
  PixelCorrection correction_;
};

}  // namespace

std::string_view name_of(PixelCorrection::Kind kind) {
  switch (kind) {
    case PixelCorrection::Kind::matrix:
      return "matrix";
    case PixelCorrection::Kind::root_polynomial:
      return "root polynomial";
    case PixelCorrection::Kind::none:
      break;
  }
  return "none";
}

Xyz PixelCorrection::apply(const Xyz& t) const {
  if (kind == Kind::none) return t;
  const auto terms = terms_of(t, kind);
  const std::size_t p = count_of(kind);
  assert(coefficients.size() == 3 * p);
  std::array<double, 3> out{};
  for (std::size_t c = 0; c < 3; ++c)
    for (std::size_t j = 0; j < p; ++j) out[c] += coefficients[c * p + j] * terms[j];
  return {out[0], out[1], out[2]};
}

Result<CorrectionFit> fit_correction(const std::vector<Lab>& measured,
                                     const std::vector<Lab>& reference,
                                     PixelCorrection::Kind kind) {
  assert(measured.size() == reference.size() && kind != PixelCorrection::Kind::none);
  const std::size_t least = kind == PixelCorrection::Kind::matrix ? 6 : 10;
  if (measured.size() < least)
    return bad_input("a correction by " + std::string(name_of(kind)) + " needs at least " +
                     std::to_string(least) + " patches, found " + std::to_string(measured.size()));
  std::vector<Xyz> seen, ought;
  for (std::size_t i = 0; i < measured.size(); ++i) {
    seen.push_back(relative(measured[i]));
    ought.push_back(relative(reference[i]));
  }
  auto whole = MENDTONE_TRY(fit(seen, ought, kind));
  CorrectionFit result;
  result.correction = whole;
  std::vector<double> unseen;
  const auto n = static_cast<double>(seen.size());
  for (std::size_t i = 0; i < seen.size(); ++i) {
    result.fitted_mean_de00 += de00(reference[i], lab_of(whole.apply(seen[i]))) / n;
    std::vector<Xyz> s = seen, o = ought;
    s.erase(s.begin() + static_cast<std::ptrdiff_t>(i));
    o.erase(o.begin() + static_cast<std::ptrdiff_t>(i));
    auto without = MENDTONE_TRY(fit(s, o, kind));
    unseen.push_back(de00(reference[i], lab_of(without.apply(seen[i]))));
    result.unseen_mean_de00 += unseen.back() / n;
  }
  std::sort(unseen.begin(), unseen.end());
  result.unseen_max_de00 = unseen.back();
  result.unseen_p90_de00 = unseen[static_cast<std::size_t>(std::lround(0.9 * (n - 1)))];
  return result;
}

std::unique_ptr<PixelTransform> corrected(const PixelTransform& base, PixelCorrection correction) {
  return std::make_unique<CorrectedTransform>(base, std::move(correction));
}

}  // namespace mendtone
