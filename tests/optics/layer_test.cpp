#include "mendtone/optics/layer.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace mendtone::layer_test {
namespace {

struct Golden {
  double K, S, X, R0, T, Rinf, over085, over1;
};

// Computed from Kubelka 1948 by computed.mjs, printed to 12 decimals.
TEST(Layer, ClosedForm) {
  for (const Golden& g : {Golden{0.1, 1, 1, 0.461033623277, 0.445284213264, 0.641742430504,
                                 0.738176181314, 0.828919337759},
                          Golden{1, 1, 1, 0.260146717028, 0.164588718533, 0.267949192431,
                                 0.289709895637, 0.296761336294},
                          Golden{0.5, 0.05, 1, 0.030338784487, 0.577466174876, 0.045548849897,
                                 0.321288902122, 0.374239497221},
                          Golden{0.0005, 10, 1, 0.908774391525, 0.090726149496, 0.990049875001,
                                 0.939522808214, 0.999003816574}}) {
    const Slab slab = layer(g.K * g.X, g.S * g.X);
    EXPECT_NEAR(slab.R12, g.R0, 5e-13);
    EXPECT_NEAR(slab.T, g.T, 5e-13);
    EXPECT_NEAR(reflectivity(g.K, g.S), g.Rinf, 5e-13);
    EXPECT_NEAR(over(slab, 0.85), g.over085, 5e-13);
    EXPECT_NEAR(over(slab, 1), g.over1, 5e-13);
  }
}

// Central differences with a step of 1e-5 of the value; what is left is their own h^2 error.
TEST(Layer, SlopesAgreeWithDifferences) {
  for (const auto& [K, S] : {std::pair{0.1, 1.0},
                             {1e-4, 1e-4},
                             {0.02, 3.0},
                             {2.0, 0.01},
                             {5.0, 40.0},
                             {0.0, 0.7},
                             {0.7, 0.0},
                             {90.0, 800.0}}) {
    const LayerSlopes at = layer_slopes(K, S);
    const Slab slab = layer(K, S);
    EXPECT_NEAR(at.R, slab.R12, 1e-15);
    EXPECT_NEAR(at.T, slab.T, 1e-15);
    const double h = 1e-5 * std::max(K + S, 1e-2);
    // At the edge of the domain the difference is one-sided, of second order.
    const auto slope = [&](auto value, double x) {
      if (x >= h) return (value(x + h) - value(x - h)) / (2 * h);
      return (4 * value(x + h) - value(x + 2 * h) - 3 * value(x)) / (2 * h);
    };
    EXPECT_NEAR(at.dR_dK, slope([&](double v) { return layer(v, S).R12; }, K), 1e-7);
    EXPECT_NEAR(at.dT_dK, slope([&](double v) { return layer(v, S).T; }, K), 1e-7);
    EXPECT_NEAR(at.dR_dS, slope([&](double v) { return layer(K, v).R12; }, S), 1e-7);
    EXPECT_NEAR(at.dT_dS, slope([&](double v) { return layer(K, v).T; }, S), 1e-7);
  }
}

// Below x = 0.3 the slopes come from a series: there, half a step on either side of the seam, they
// must agree, as smooth functions do, to the step.
TEST(Layer, SlopesHaveNoSeamWhereTheSeriesEnds) {
  for (const double S : {0.01, 0.2, 2.0, 40.0}) {
    // x^2 = K (K + 2 S) = 0.09
    const double K = -S + std::sqrt(S * S + 0.09), step = 1e-9;
    const LayerSlopes below = layer_slopes(K * (1 - step), S),
                      above = layer_slopes(K * (1 + step), S);
    const double allowed = 2 * step;
    EXPECT_NEAR(below.dR_dK, above.dR_dK, allowed) << S;
    EXPECT_NEAR(below.dT_dK, above.dT_dK, allowed) << S;
    EXPECT_NEAR(below.dR_dS, above.dR_dS, allowed) << S;
    EXPECT_NEAR(below.dT_dS, above.dT_dS, allowed) << S;
  }
}

}  // namespace
}  // namespace mendtone::layer_test
