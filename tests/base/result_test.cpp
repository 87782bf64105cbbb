#include "mendtone/base/result.hpp"

#include <gtest/gtest.h>

#include <memory>
#include <vector>

namespace mendtone::result_test {
namespace {

Result<std::unique_ptr<int>> whole(int n) {
  if (n < 0) return bad_input("expected a count, found " + std::to_string(n), "drawer.csv:3");
  return std::make_unique<int>(n);
}

Result<void> even(int n) {
  if (n % 2 != 0) return bad_input("expected an even count");
  return {};
}

Result<int> half(int n) {
  const std::unique_ptr<int> counted = MENDTONE_TRY(whole(n));
  MENDTONE_TRY(even(*counted));
  return *counted / 2;
}

TEST(Result, ForwardsTheFirstErrorAndElseTheValue) {
  EXPECT_EQ(half(6).value(), 3);
  EXPECT_EQ(half(-6).error().text(), "drawer.csv:3: expected a count, found -6");
  EXPECT_EQ(half(5).error().message, "expected an even count");
}

TEST(Result, GivesItsValueAway) {
  std::unique_ptr<int> owned = whole(4).value();
  EXPECT_EQ(*owned, 4);
  owned = *whole(5);
  EXPECT_EQ(*owned, 5);
  EXPECT_EQ(half(8).value_or(-1), 4);
  EXPECT_EQ(half(9).value_or(-1), -1);
  // What a loop runs over outlives the Result that it came from.
  std::vector<int> seen;
  for (int n : Result<std::vector<int>>(std::vector<int>{1, 2}).value()) seen.push_back(n);
  EXPECT_EQ(seen, (std::vector<int>{1, 2}));
}

TEST(ResultDeathTest, StopsWithItsMessageInEveryBuild) {
  EXPECT_DEATH(static_cast<void>(half(-2).value()), "drawer.csv:3: expected a count, found -2");
  EXPECT_DEATH(static_cast<void>(*half(3)), "expected an even count");
  EXPECT_DEATH(even(1).value(), "expected an even count");
  EXPECT_DEATH(static_cast<void>(half(4).error()), "an error was asked for where there is none");
}

}  // namespace
}  // namespace mendtone::result_test
