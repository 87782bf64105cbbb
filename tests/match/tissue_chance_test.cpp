#include "mendtone/match/tissue_chance.hpp"

#include <gtest/gtest.h>

#include <numeric>

#include "match/drawer.hpp"

namespace mendtone::tissue_chance_test {
namespace {

using namespace invented;

SheetReading read_thrice(const std::vector<Slab>& slabs, double Rg, double spread) {
  SheetReading reading;
  reading.backing = Rg > 0.5 ? "white" : "black";
  reading.Rg.assign(slabs.size(), Rg);
  for (const Slab& slab : slabs) reading.mean.push_back(over(slab, Rg));
  for (const double z : {-1.0, 0.0, 1.0}) reading.deviations.emplace_back(slabs.size(), z * spread);
  return reading;
}

struct Bench {
  std::vector<SheetReading> readings;
  Drawer drawer{bands(), 4};
  RankProblem asked;
  ChanceProblem chance;

  Bench(const std::vector<Ply>& tissues, double spread) {
    const Sheet bare = sheet();
    asked = problem(bare, {place(Use::loss, Side::back, bare)}, {"D65", "A"});
    readings.reserve(2 * tissues.size() + 2);
    chance.sheet = read(bare.body, spread);
    for (const Ply& one : tissues) {
      drawer.add(one);
      chance.tissues.push_back(read(stacked(one, 1), spread));
    }
    chance.drawer = &drawer;
    chance.rank = &asked;
    chance.backing = board();
    chance.trials = 400;
  }
  ReadBy read(const std::vector<Slab>& slabs, double spread) {
    readings.push_back(read_thrice(slabs, 0.04, spread));
    readings.push_back(read_thrice(slabs, 0.89, spread));
    return {&readings[readings.size() - 2], &readings.back()};
  }
};

TEST(TissueChance, WithoutSpreadTheFirstIsCertain) {
  Bench bench(invented::drawer(10), 1e-9);
  const auto ranked = *rank(bench.drawer, bench.asked);
  const Chance chance = chance_of_being_nearest(bench.chance, ranked);
  ASSERT_EQ(chance.nearest.size(), ranked.size());
  EXPECT_EQ(chance.nearest.front(), 1);
}

TEST(TissueChance, TwinsShareItAndItSumsToOne) {
  const Ply one = ply(24, 36, 14, 90);
  Bench bench({one, one}, 0.003);
  bench.asked.fewest_plies = bench.asked.most_plies = 1;
  const auto ranked = *rank(bench.drawer, bench.asked);
  const Chance chance = chance_of_being_nearest(bench.chance, ranked);
  ASSERT_EQ(chance.nearest.size(), 2u);
  EXPECT_NEAR(chance.nearest[0], 0.5, 0.1);  // 400 trials: four standard errors
  EXPECT_NEAR(std::accumulate(chance.nearest.begin(), chance.nearest.end(), 0.0), 1, 1e-12);
}

TEST(TissueChance, TheSameForTheSameSeedOnly) {
  Bench bench(invented::drawer(20), 0.01);
  const auto ranked = *rank(bench.drawer, bench.asked);
  const auto first = chance_of_being_nearest(bench.chance, ranked).nearest;
  EXPECT_EQ(first, chance_of_being_nearest(bench.chance, ranked).nearest);
  bench.chance.seed = 2;
  EXPECT_NE(first, chance_of_being_nearest(bench.chance, ranked).nearest);
}

TEST(TissueChance, ASingleReadingBorrowsTheSpreadOfTheOthers) {
  Bench bench(invented::drawer(4), 0.003);
  bench.readings[3].deviations.clear();
  const auto ranked = *rank(bench.drawer, bench.asked);
  const Chance borrowed = chance_of_being_nearest(bench.chance, ranked);
  EXPECT_TRUE(borrowed.pooled);
  EXPECT_FALSE(borrowed.nearest.empty());
  for (SheetReading& reading : bench.readings) reading.deviations.clear();
  const Chance none = chance_of_being_nearest(bench.chance, ranked);
  EXPECT_TRUE(none.nearest.empty());
  EXPECT_FALSE(none.why_not.empty());
}

}  // namespace
}  // namespace mendtone::tissue_chance_test
