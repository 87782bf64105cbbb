#include "mendtone/imaging/planar.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "mendtone/base/random.hpp"
#include "mendtone/imaging/fill.hpp"

namespace mendtone::planar_test {
namespace {

// The double path is the oracle; the bounds are those that the header promises.
TEST(Planar, LabAgreesWithTheDoublePath) {
  CounterRandom random(7);
  for (int i = 0; i < 20000; ++i) {
    // Small values too, where the linear branch rules.
    const double scale = i % 2 ? 1.2 : 0.02;
    const float x = static_cast<float>(scale * random.uniform()),
                y = static_cast<float>(scale * random.uniform()),
                z = static_cast<float>(scale * random.uniform());
    float L = x, a = y, b = z;
    relative_xyz_to_lab(&L, &a, &b, 1);
    const Lab expected =
        xyz_to_lab({x * image_white.X, y * image_white.Y, z * image_white.Z}, image_white);
    ASSERT_NEAR(L, expected.L, 1e-4);
    ASSERT_NEAR(a, expected.a, 4e-4);
    ASSERT_NEAR(b, expected.b, 4e-4);
    lab_to_relative_xyz(&L, &a, &b, 1);
    ASSERT_NEAR(L, x, 2e-6);
    ASSERT_NEAR(a, y, 2e-6);
    ASSERT_NEAR(b, z, 2e-6);
  }
}

// Matrices as published for the linear Bradford adaptation (Lindbloom's list, as carried by
// colour-science), and ICC's own for sRGB.
TEST(Planar, BradfordAdaptsAsPublished) {
  const Xyz d65{95.047, 100, 108.883}, d50{96.422, 100, 82.521}, a{109.85, 100, 35.585};
  const Xyz red = adapt({1, 0, 0}, d65, d50), green = adapt({0, 1, 0}, d65, d50),
            blue = adapt({0, 0, 1}, d65, d50);
  const double tolerance = 2e-6;
  EXPECT_NEAR(red.X, 1.0478112, tolerance);
  EXPECT_NEAR(green.X, 0.0228866, tolerance);
  EXPECT_NEAR(blue.X, -0.0501270, tolerance);
  EXPECT_NEAR(red.Y, 0.0295424, tolerance);
  EXPECT_NEAR(green.Y, 0.9904844, tolerance);
  EXPECT_NEAR(blue.Z, 0.7521316, tolerance);
  EXPECT_NEAR(adapt({0, 0, 1}, a, d50).Z, 2.3994031, 1e-5);
  const Xyz white = adapt(d65, d65, d50);
  EXPECT_NEAR(white.X, d50.X, 1e-9);
  EXPECT_NEAR(white.Z, d50.Z, 1e-9);
}

}  // namespace
}  // namespace mendtone::planar_test
