#include "mendtone/base/random.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace mendtone::random_test {
namespace {

// Known answers of Philox4x32-10 from the Random123 distribution of Salmon et al. 2011
// (kat_vectors); from memory.
TEST(Philox, KnownAnswers) {
  using Block = std::array<std::uint32_t, 4>;
  EXPECT_EQ(philox4x32_10({0, 0, 0, 0}, {0, 0}),
            (Block{0x6627e8d5, 0xe169c58d, 0xbc57ac4c, 0x9b00dbd8}));
  EXPECT_EQ(philox4x32_10({0x243f6a88, 0x85a308d3, 0x13198a2e, 0x03707344}, {0xa4093822, 0x299f31d0}),
            (Block{0xd16cfe09, 0x94fdcceb, 0x5001e420, 0x24126ea1}));
}

TEST(CounterRandom, NormalHasItsMoments) {
  CounterRandom random(7);
  double sum = 0, square = 0;
  constexpr int n = 200000;
  for (int i = 0; i < n; ++i) {
    const double z = random.normal();
    sum += z;
    square += z * z;
  }
  EXPECT_NEAR(sum / n, 0, 5 / std::sqrt(n));
  EXPECT_NEAR(square / n, 1, 5 * std::sqrt(2.0 / n));
}

TEST(CounterRandom, StreamsDiffer) {
  EXPECT_NE(CounterRandom(1, 0).bits(), CounterRandom(1, 1).bits());
  EXPECT_EQ(CounterRandom(1, 5).bits(), CounterRandom(1, 5).bits());
}

}  // namespace
}  // namespace mendtone::random_test
