#include "mendtone/optics/inversion.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "mendtone/base/random.hpp"

namespace mendtone::inversion_test {
namespace {

LayerFound found_from(double KX, double SX, double dark, double light) {
  const Slab slab = layer(KX, SX);
  return layer_from_two_backings({over(slab, dark), dark}, {over(slab, light), light});
}

// Computed by computed.mjs, K = 0.05, S = 0.6: printed to nine decimals.
TEST(Inversion, GoldenFromBlackAndWhite) {
  for (const OverBacking& light :
       {OverBacking{0.818093061, 0.89}, OverBacking{0.788401738, 0.85}}) {
    const LayerFound found = layer_from_two_backings({0.359120792, 0}, light);
    EXPECT_EQ(found.body, BodyKind::determined);
    EXPECT_NEAR(found.SX, 0.6, 5e-8);
    EXPECT_NEAR(found.KX, 0.05, 5e-8);
    EXPECT_NEAR(1 + found.KX / found.SX, 1.083333333, 1e-8);
    EXPECT_NEAR(reflectivity(found.KX, found.SX), 0.666666667, 1e-8);
  }
}

// The readings are given in double precision, so what they can tell is limited by their last bit
// divided by what shines through; where that is above 0.001, 1e-9 must be reached.
TEST(Inversion, RoundTripWhereverTheReadingsDiffer) {
  CounterRandom random(7);
  int determined = 0, above_infinity = 0;
  double worst = 0;
  for (int i = 0; i < 40000; ++i) {
    const double KX = std::pow(10, -6 + 7 * random.uniform());
    const double SX = std::pow(10, -5 + 7 * random.uniform());
    const double dark = 0.12 * random.uniform(), light = 0.5 + 0.45 * random.uniform();
    const Slab slab = layer(KX, SX);
    if (over(slab, light) - over(slab, dark) <= opaque_below) continue;
    const LayerFound found = found_from(KX, SX, dark, light);
    ASSERT_EQ(found.body, BodyKind::determined) << KX << ' ' << SX;
    worst = std::max({worst, std::abs(found.KX - KX) / std::max(KX, 1.0),
                      std::abs(found.SX - SX) / std::max(SX, 1.0)});
    ++determined;
    above_infinity += over(slab, light) > reflectivity(KX, SX);
  }
  EXPECT_LT(worst, 1e-9);
  EXPECT_GT(determined, 15000);
  EXPECT_GT(above_infinity, 5000);
}

TEST(Inversion, BackingsThatAreNotDarkAndLightAreImpossible) {
  const Slab slab = layer(0.05, 0.6);
  const OverBacking dark{over(slab, 0.04), 0.04}, light{over(slab, 0.89), 0.89};
  EXPECT_EQ(layer_from_two_backings(light, dark).body, BodyKind::impossible);
  EXPECT_EQ(layer_from_two_backings(dark, {0.8, 0.04}).body, BodyKind::impossible);
}

TEST(Inversion, LimitsAreOrdinaryCases) {
  const LayerFound white = found_from(0, 0.7, 0.04, 0.89);
  EXPECT_EQ(white.body, BodyKind::determined);
  EXPECT_NEAR(white.SX, 0.7, 1e-12);
  EXPECT_NEAR(white.KX, 0, 1e-12);
  const LayerFound clear = found_from(0.3, 0, 0.04, 0.89);
  EXPECT_EQ(clear.body, BodyKind::determined);
  EXPECT_NEAR(clear.KX, 0.3, 1e-12);
  EXPECT_NEAR(clear.SX, 0, 1e-12);
  const LayerFound nothing = found_from(0, 0, 0.04, 0.89);
  EXPECT_NEAR(nothing.KX, 0, 1e-12);
  EXPECT_NEAR(nothing.SX, 0, 1e-12);
}

TEST(Inversion, OpaqueKeepsReflectivity) {
  const LayerFound found = layer_from_two_backings({0.5231, 0.04}, {0.5239, 0.89});
  EXPECT_EQ(found.body, BodyKind::opaque);
  const Slab slab = layer(found.KX, found.SX);
  EXPECT_NEAR(slab.R12, 0.5235, 1e-12);
  EXPECT_LT(slab.T, 1e-100);
  for (double R : {0.0, 1e-9, 0.3, 0.9999}) {
    const LayerCoefficients c = opaque_layer(R);
    EXPECT_NEAR(layer(c.KX, c.SX).R12, R, 1e-12);
  }
}

TEST(Inversion, NoiseBelowZeroIsProjectedOntoTheNearestLayer) {
  const Slab white = layer(0, 0.7);
  const OverBacking dark{over(white, 0.04) + 0.002, 0.04}, light{over(white, 0.89) + 0.002, 0.89};
  const LayerFound found = layer_from_two_backings(dark, light);
  EXPECT_EQ(found.body, BodyKind::no_absorption);
  EXPECT_EQ(found.KX, 0);
  EXPECT_LT(found.misfit, 0.004);
  const auto square = [&](double SX) {
    const Slab slab = layer(0, SX);
    return std::pow(over(slab, 0.04) - dark.R, 2) + std::pow(over(slab, 0.89) - light.R, 2);
  };
  EXPECT_LT(square(found.SX), square(found.SX * 1.001));
  EXPECT_LT(square(found.SX), square(found.SX * 0.999));

  const Slab clear = layer(0.2, 0);
  const LayerFound thin =
      layer_from_two_backings({over(clear, 0.04) - 0.002, 0.04}, {over(clear, 0.89), 0.89});
  EXPECT_EQ(thin.body, BodyKind::no_scattering);
  EXPECT_EQ(thin.SX, 0);
  EXPECT_NEAR(thin.KX, 0.2, 1e-3);
}

TEST(Inversion, WhatNoSheetDoesIsSaid) {
  EXPECT_EQ(layer_from_two_backings({0.60, 0.04}, {0.50, 0.89}).body, BodyKind::impossible);
  EXPECT_EQ(layer_from_two_backings({0.30, 0.04}, {1.10, 0.89}).body, BodyKind::impossible);
}

TEST(Inversion, AbsorptionFromOneReadingWhenScatteringIsKnown) {
  for (double KX : {0.0, 1e-4, 0.05, 2.0}) {
    const Slab slab = layer(KX, 1.6);
    EXPECT_NEAR(absorption_from({over(slab, 0.89), 0.89}, 1.6), KX, 1e-12 * (1 + KX) + 1e-13);
  }
  EXPECT_EQ(absorption_from({0.99, 0.5}, 1.6), 0);
}

TEST(Inversion, FacesThatDiffer) {
  const Slab sheet = in_front(layer(0.1, 0.6), layer(0.3, 0.4));
  const Slab turned{sheet.R21, sheet.R12, sheet.T};
  const auto read = [](const Slab& slab, double Rg) { return OverBacking{over(slab, Rg), Rg}; };
  const SlabFound found = slab_from_both_faces(read(sheet, 0.05), read(sheet, 0.9),
                                               read(turned, 0.05), read(turned, 0.9));
  EXPECT_NEAR(found.slab.R12, 0.419757712285, 1e-12);
  EXPECT_NEAR(found.slab.R21, 0.323560003943, 1e-12);
  EXPECT_NEAR(found.slab.T, 0.318426059422, 1e-12);
  EXPECT_LT(found.misfit, 1e-13);
}

}  // namespace
}  // namespace mendtone::inversion_test
