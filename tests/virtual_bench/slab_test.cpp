#include "virtual_bench/slab.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace mendtone::virtual_bench {
namespace {

// van de Hulst, Multiple Light Scattering (1980): albedo 0.9, asymmetry 0.75, optical depth 2,
// normal incidence: 0.09739 reflected, 0.66096 transmitted. The values come from memory; 16
// directions and 32 Legendre terms leave a few units of the fourth digit.
TEST(Slab, VanDeHulst) {
  const Collimated at = collimated(0.2, 1.8, 0.75);
  EXPECT_NEAR(at.reflected, 0.09739, 3e-4);
  EXPECT_NEAR(at.transmitted, 0.66096, 3e-4);
}

// What is not absorbed comes out again; the quadrature keeps that to rounding.
TEST(Slab, LosesNoLightWithoutAbsorption) {
  for (double depth : {0.1, 1.0, 20.0}) {
    const Collimated at = collimated(0, depth, 0.6);
    EXPECT_NEAR(at.reflected + at.transmitted, 1, 1e-10);
    EXPECT_NEAR(sheet({0, depth, 0.3 * depth}, 1.0).reflectance, 1, 1e-10);
  }
}

// A thick isotropic slab in diffuse light reflects 1 - H(1) sqrt(1 - albedo) near the normal, with
// Chandrasekhar's H (Radiative Transfer, 1950), here solved from his integral equation.
TEST(Slab, ThickIsotropicSlab) {
  constexpr int steps = 400;
  const double albedo = 0.9;
  std::vector<double> H(steps, 1.0);
  const auto next = [&](double mu) {
    double sum = 0;
    for (int k = 0; k < steps; ++k) {
      const double nu = (k + 0.5) / steps;
      sum += nu * H[k] / (mu + nu) / steps;
    }
    return 1 / (std::sqrt(1 - albedo) + albedo / 2 * sum);
  };
  for (int round = 0; round < 200; ++round) {
    std::vector<double> better(steps);
    for (int k = 0; k < steps; ++k) better[k] = next((k + 0.5) / steps);
    H = better;
  }
  // Six directions stand for a hemisphere: good to a few units of the fourth digit.
  EXPECT_NEAR(sheet({5, 45, 0}, 0.3).reflectance, 1 - next(1) * std::sqrt(1 - albedo), 5e-4);
}

// A clear film over a white support under an ideal interface: what enters leaves in the end.
TEST(Slab, ClearFilmOverWhite) {
  // In an enclosure the light inside is n^2 as dense; near the normal 0.96 of it comes out.
  EXPECT_NEAR(glossy_film({0, 0, 0}, 1.0, 1.5), 0.96, 0.01);
  EXPECT_LT(glossy_film({0.5, 0, 0}, 0.9, 1.5), glossy_film({0.1, 0, 0}, 0.9, 1.5));
}

}  // namespace
}  // namespace mendtone::virtual_bench
