#include "mendtone/colour/direction.hpp"

#include <gtest/gtest.h>

namespace mendtone::direction_test {
namespace {

// The words and the threshold are the house's own: no published rule.
TEST(Direction, OneRuleAndOneThreshold) {
  EXPECT_EQ(direction_word(Axis::L, 0.3), "lighter");
  EXPECT_EQ(direction_word(Axis::L, -0.3), "darker");
  EXPECT_EQ(direction_word(Axis::a, 0.4), "pinker");
  EXPECT_EQ(direction_word(Axis::a, -0.4), "greener");
  EXPECT_EQ(direction_word(Axis::b, 2), "yellower");
  for (const Axis axis : {Axis::L, Axis::a, Axis::b}) {
    EXPECT_EQ(direction_word(axis, 0.2999), "");
    EXPECT_EQ(direction_word(axis, -0.2999), "");
  }
}

TEST(Direction, APaperThatIsNotBluishIsNeverBluer) {
  EXPECT_EQ(direction_word(Axis::b, -2, 14), "less yellow");
  EXPECT_EQ(direction_word(Axis::b, -2, 0), "less yellow");
  EXPECT_EQ(direction_word(Axis::b, -2, -1), "bluer");
}

}  // namespace
}  // namespace mendtone::direction_test
