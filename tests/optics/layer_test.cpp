#include "mendtone/optics/layer.hpp"

#include <gtest/gtest.h>

namespace mendtone {
namespace {

struct Golden {
  double K, S, X, R0, T, Rinf, over085, over1;
};

// Independently computed from Kubelka 1948, printed to 12 decimals.
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

}  // namespace
}  // namespace mendtone
