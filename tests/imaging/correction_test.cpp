#include "mendtone/imaging/correction.hpp"

#include <gtest/gtest.h>

#include "mendtone/base/random.hpp"
#include "mendtone/colour/difference.hpp"
#include "mendtone/imaging/planar.hpp"

namespace mendtone::correction_test {
namespace {

/// A camera whose channels leak: what a 3 x 3 matrix can undo exactly.
Lab leaking(const Lab& lab) {
  const Xyz t = lab_to_xyz(lab, image_white);
  const double X = t.X / image_white.X, Y = t.Y / 100, Z = t.Z / image_white.Z;
  return xyz_to_lab({image_white.X * (0.87 * X + 0.13 * Y), 100 * (0.07 * X + 0.93 * Y),
                     image_white.Z * (-0.07 * X + 0.12 * Y + 0.95 * Z)},
                    image_white);
}

std::vector<Lab> patches() {
  CounterRandom random(5);
  std::vector<Lab> labs;
  for (int i = 0; i < 30; ++i)
    labs.push_back(
        {25 + 70 * random.uniform(), 50 * random.uniform() - 25, 50 * random.uniform() - 20});
  return labs;
}

TEST(Corrections, AMatrixUndoesALeakExactly) {
  const auto ought = patches();
  std::vector<Lab> seen;
  for (const Lab& lab : ought) seen.push_back(leaking(lab));
  for (const auto kind : {PixelCorrection::Kind::matrix, PixelCorrection::Kind::root_polynomial}) {
    const auto fit = fit_correction(seen, ought, kind);
    ASSERT_TRUE(fit) << fit.error().text();
    EXPECT_LT(fit->unseen_max_de00, 1e-3) << name_of(kind);  // only the search's own tolerance
  }
}

// Both kinds are homogeneous: half the light in gives half the light out.
TEST(Corrections, ScaleWithExposure) {
  const auto ought = patches();
  std::vector<Lab> seen;
  for (const Lab& lab : ought) seen.push_back(leaking(lab));
  for (const auto kind : {PixelCorrection::Kind::matrix, PixelCorrection::Kind::root_polynomial}) {
    const auto fit = fit_correction(seen, ought, kind);
    ASSERT_TRUE(fit);
    const Xyz whole = fit->correction.apply({0.5, 0.6, 0.4}),
              half = fit->correction.apply({0.25, 0.3, 0.2});
    EXPECT_NEAR(half.X, whole.X / 2, 1e-12);
    EXPECT_NEAR(half.Y, whole.Y / 2, 1e-12);
    EXPECT_NEAR(half.Z, whole.Z / 2, 1e-12);
  }
}

// Noise cannot be corrected away: patches left out must show it, those fitted hide it.
TEST(Corrections, UnseenPatchesTellWhenItDoesNotHelp) {
  CounterRandom random(6);
  const auto ought = patches();
  std::vector<Lab> seen;
  double uncorrected = 0;
  for (const Lab& lab : ought) {
    seen.push_back({lab.L + random.normal(), lab.a + random.normal(), lab.b + random.normal()});
    uncorrected += de00(lab, seen.back()) / static_cast<double>(ought.size());
  }
  const auto fit = fit_correction(seen, ought, PixelCorrection::Kind::root_polynomial);
  ASSERT_TRUE(fit);
  EXPECT_LT(fit->fitted_mean_de00, uncorrected);
  EXPECT_GT(fit->unseen_mean_de00, fit->fitted_mean_de00);
}

TEST(Corrections, RefuseTooFewPatches) {
  const std::vector<Lab> few(5, Lab{50, 0, 0}), same(12, Lab{50, 0, 0});
  EXPECT_FALSE(fit_correction(few, few, PixelCorrection::Kind::matrix));
  EXPECT_FALSE(fit_correction(same, same, PixelCorrection::Kind::matrix));
}

}  // namespace
}  // namespace mendtone::correction_test
