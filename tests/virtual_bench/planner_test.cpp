#include "virtual_bench/planner.hpp"

#include <gtest/gtest.h>

#include <cstdio>

#include "long_runs.hpp"

namespace mendtone::virtual_bench::planner_test {
namespace {

struct Outcome {
  Distances fresh, coats, floor_fresh, floor_coats, naive;
};

/// Every bench has colorants of its own.
Outcome outcome_of(PaperSet set) {
  const int benches = static_cast<int>(test::count(24, 2)), targets = benches == 24 ? 50 : 30;
  Outcome all;
  for (int b = 0; b < benches; ++b) {
    const std::uint64_t seed = 100 + static_cast<std::uint64_t>(b);
    const VirtualBench bench(VirtualBench::Kind::toned_tissue, seed);
    const Planner planner(bench, seed);
    const NaivePlanner naive(bench, seed);
    std::uint64_t i = 1000 * seed;
    for (const Target& target : draw_targets(bench, set, targets, seed)) {
      ++i;
      all.fresh.push_back(planner.fresh_mixes(target, 3, i));
      all.coats.push_back(planner.coats(target, 2, i));
      all.floor_fresh.push_back(floor_of_fresh_mix(bench, target, i));
      all.floor_coats.push_back(floor_of_coats(bench, target, 2, i));
      all.naive.push_back(naive.fresh_mixes(target, 3, i));
    }
  }
  return all;
}

void print(const char* what, const Distances& all) {
  std::printf("  %-28s", what);
  for (std::size_t t = 0; t < all.front().size(); ++t)
    std::printf("  %5.2f / %5.2f", median(all, t), percentile95(all, t));
  std::printf("\n");
}

void print(const char* set, const Outcome& r) {
  std::printf(
      "%s papers, %zu targets: median / 95th percentile of DeltaE00 (D65), trial by trial\n", set,
      r.fresh.size());
  print("fresh mixes", r.fresh);
  print("fresh mixes, truth known", r.floor_fresh);
  print("fresh mixes, one constant", r.naive);
  print("80 % and coats", r.coats);
  print("80 % and coats, truth known", r.floor_coats);
}

/// Believing the whole of a measured offset makes the far end worse with every trial. The 95 %
/// point of 60 sheets strays by a tenth, that of 1200 by 3 %, and two such points from each other
/// by 4.2 %.
void expect_no_worse_than_the_first(const Distances& fresh) {
  const double strays = fresh.size() >= 1000 ? 1.042 : 1.1;
  for (std::size_t t = 1; t < fresh.front().size(); ++t)
    EXPECT_LE(percentile95(fresh, t), strays * percentile95(fresh, 0)) << t;
}

TEST(PlannerAtTheBench, PalePapers) {
  const Outcome r = outcome_of(PaperSet::pale);
  print("Pale", r);
  EXPECT_LE(median(r.fresh, 0), 0.7);
  EXPECT_LE(median(r.fresh, 1), 0.45);
  expect_no_worse_than_the_first(r.fresh);
  EXPECT_LE(median(r.coats, 2), 0.25);
  EXPECT_LE(percentile95(r.coats, 2), 0.6);
  EXPECT_LT(median(r.fresh, 1), median(r.naive, 1));
}

TEST(PlannerAtTheBench, DarkPapers) {
  const Outcome r = outcome_of(PaperSet::dark);
  print("Dark", r);
  // A planner that knows the truth reaches 0.6 with a fresh mix: what remains is drops and pick-up.
  EXPECT_LE(median(r.fresh, 0), 1.0);
  EXPECT_LE(median(r.fresh, 1), 1.3 * median(r.floor_fresh, 0));
  expect_no_worse_than_the_first(r.fresh);
  EXPECT_LE(percentile95(r.coats, 2), 1.0);
  EXPECT_LT(median(r.fresh, 1), median(r.naive, 1));
}

}  // namespace
}  // namespace mendtone::virtual_bench::planner_test
