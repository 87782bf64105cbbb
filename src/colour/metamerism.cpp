#include "mendtone/colour/metamerism.hpp"

#include <Eigen/Dense>
#include <cmath>

namespace mendtone {
namespace {

using Value = MetamerismIndex::Value;

Value between(const Lab& standard, const Lab& corrected) {
  return {de_ab(standard, corrected), de00(standard, corrected)};
}

/// Below this a quotient of two readings says nothing; in units of Lab or of XYZ.
constexpr double too_small = 0.1;

bool divisible(double a, double b, double c) {
  return std::abs(a) > too_small && std::abs(b) > too_small && std::abs(c) > too_small;
}

/// The sample with the standard's fundamental: N' = R N_standard + (I - R) N_sample,
/// R = A (A'A)^-1 A', A the reference weights.
std::vector<double> with_fundamental_of(std::span<const double> standard,
                                        std::span<const double> sample,
                                        const TristimulusWeights& reference) {
  const auto bands = static_cast<Eigen::Index>(standard.size());
  Eigen::MatrixXd A(bands, 3);
  Eigen::VectorXd difference(bands);
  for (Eigen::Index i = 0; i < bands; ++i) {
    const auto k = static_cast<std::size_t>(i);
    A.row(i) << reference.wx[k], reference.wy[k], reference.wz[k];
    difference[i] = standard[k] - sample[k];
  }
  const Eigen::Matrix3d inner = A.transpose() * A;
  const Eigen::VectorXd moved = A * inner.ldlt().solve(A.transpose() * difference);
  std::vector<double> corrected(sample.begin(), sample.end());
  for (std::size_t i = 0; i < corrected.size(); ++i)
    corrected[i] += moved[static_cast<Eigen::Index>(i)];
  return corrected;
}

}  // namespace

MetamerismIndex metamerism_index(const MetamericPair& p) {
  const Lab standard = xyz_to_lab(p.standard_test, p.white_test);
  const Lab sample = xyz_to_lab(p.sample_test, p.white_test);
  const Lab one = xyz_to_lab(p.standard_reference, p.white_reference);
  const Lab two = xyz_to_lab(p.sample_reference, p.white_reference);
  MetamerismIndex index;
  index.additive_lab = between(
      standard, {sample.L + one.L - two.L, sample.a + one.a - two.a, sample.b + one.b - two.b});
  if (divisible(two.L, two.a, two.b))
    index.multiplicative_lab = between(
        standard, {sample.L * one.L / two.L, sample.a * one.a / two.a, sample.b * one.b / two.b});
  const Xyz &s = p.standard_reference, &t = p.sample_reference, &x = p.sample_test;
  if (divisible(t.X, t.Y, t.Z))
    index.multiplicative_xyz = between(
        standard, xyz_to_lab({x.X * s.X / t.X, x.Y * s.Y / t.Y, x.Z * s.Z / t.Z}, p.white_test));
  index.additive_xyz = between(
      standard, xyz_to_lab({x.X + s.X - t.X, x.Y + s.Y - t.Y, x.Z + s.Z - t.Z}, p.white_test));
  return index;
}

Result<MetamerismIndex> metamerism_index(std::span<const double> standard,
                                         std::span<const double> sample,
                                         const TristimulusWeights& reference,
                                         const TristimulusWeights& test) {
  if (!(reference.grid == test.grid))
    return bad_input("the lights " + reference.light + " and " + test.light +
                     " were prepared for different wavelengths");
  MetamericPair pair;
  pair.standard_reference = MENDTONE_TRY(reference.xyz(standard));
  pair.sample_reference = MENDTONE_TRY(reference.xyz(sample));
  pair.standard_test = MENDTONE_TRY(test.xyz(standard));
  pair.sample_test = MENDTONE_TRY(test.xyz(sample));
  pair.white_reference = reference.white;
  pair.white_test = test.white;
  MetamerismIndex index = metamerism_index(pair);
  index.spectral = between(test.lab_unchecked(standard),
                           test.lab_unchecked(with_fundamental_of(standard, sample, reference)));
  return index;
}

}  // namespace mendtone
