#include "mendtone/imaging/registration.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "mendtone/base/random.hpp"

namespace mendtone::registration_test {
namespace {

std::vector<PointPair> pairs_of(const PlaneMap& map, double noise, int count) {
  CounterRandom random(11);
  std::vector<PointPair> pairs;
  for (int i = 0; i < count; ++i) {
    const Point p{4000 * random.uniform(), 3000 * random.uniform()};
    Point q = map(p);
    q.x += noise * random.normal();
    q.y += noise * random.normal();
    pairs.push_back({p, q});
  }
  return pairs;
}

constexpr PlaneMap turned{{0.9986, -0.0523, 31.5, 0.0523, 0.9986, -12.25, 0, 0, 1}};
constexpr PlaneMap sheared{{1.01, 0.02, -8, -0.01, 0.99, 14, 0, 0, 1}};
constexpr PlaneMap tilted{{1.01, 0.02, -8, -0.01, 0.99, 14, 4e-6, -3e-6, 1}};

// Exact pairs give the exact map: rounding only.
TEST(Registration, FindsExactMaps) {
  for (const auto& [map, alignment] : {std::pair{turned, Alignment::similarity},
                                       {sheared, Alignment::affine},
                                       {tilted, Alignment::projective}}) {
    const auto found = register_pairs(pairs_of(map, 0, 9), alignment);
    ASSERT_TRUE(found) << found.error().text();
    EXPECT_LT(found->residual_px, 1e-7);
    for (std::size_t i = 0; i < 9; ++i)
      EXPECT_NEAR(found->after_from_before.m[i], map.m[i],
                  1e-6 * std::max(1.0, std::abs(map.m[i])));
  }
}

// The residual is an unbiased measure of the pairs' own error: sqrt(2) sigma in the plane.
TEST(Registration, ResidualIsThePairsOwnError) {
  const auto found = register_pairs(pairs_of(sheared, 0.5, 2000), Alignment::affine);
  ASSERT_TRUE(found);
  EXPECT_NEAR(found->residual_px, 0.5 * std::sqrt(2.0), 0.02);  // 4000 numbers: 1.1 %, two sigma
}

TEST(Registration, LeavesOutPlacesThatChanged) {
  auto pairs = pairs_of(tilted, 0.1, 40);
  for (std::size_t i = 0; i < 6; ++i) pairs[i].after.x += 25;
  const auto found = register_robustly(pairs, Alignment::projective);
  ASSERT_TRUE(found);
  EXPECT_EQ(found->pairs_left_out, 6u);
  EXPECT_LT(found->residual_px, 0.2);
}

TEST(Registration, RefusesWhatCannotBeTold) {
  EXPECT_FALSE(register_pairs(pairs_of(turned, 0, 2), Alignment::similarity));
  EXPECT_FALSE(register_pairs(pairs_of(turned, 0, 4), Alignment::projective));
  std::vector<PointPair> line, place(6, {{5, 5}, {6, 6}});
  for (int i = 0; i < 8; ++i) line.push_back({{i * 10.0, i * 20.0}, {i * 10.0, i * 20.0}});
  EXPECT_FALSE(register_pairs(line, Alignment::affine));
  EXPECT_FALSE(register_pairs(place, Alignment::similarity));
}

}  // namespace
}  // namespace mendtone::registration_test
