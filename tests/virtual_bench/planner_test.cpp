#include "virtual_bench/planner.hpp"

#include <gtest/gtest.h>

#include <cstdio>
#include <cstdlib>

namespace mendtone::virtual_bench {
namespace {

struct Outcome {
  Distances fresh, coats, floor_fresh, floor_coats, naive;
};

int targets_in_all() {
  return std::getenv("MENDTONE_LONG") != nullptr ? 200 : 20;
}

/// Every bench has colorants of its own; long runs spread their targets over four.
Outcome outcome_of(PaperSet set) {
  const int benches = targets_in_all() > 20 ? 4 : 1;
  Outcome all;
  for (int b = 0; b < benches; ++b) {
    const std::uint64_t seed = 100 + static_cast<std::uint64_t>(b);
    const VirtualBench bench(VirtualBench::Kind::toned_tissue, seed);
    const Planner planner(bench, seed);
    const NaivePlanner naive(bench, seed);
    std::uint64_t i = 1000 * seed;
    for (const Target& target : draw_targets(bench, set, targets_in_all() / benches, seed)) {
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

TEST(PlannerAtTheBench, PalePapers) {
  const Outcome r = outcome_of(PaperSet::pale);
  print("Pale", r);
  EXPECT_LE(median(r.coats, 2), 0.25);
  EXPECT_LE(percentile95(r.coats, 2), 0.6);
  EXPECT_LT(median(r.fresh, 1), median(r.naive, 1));
}

TEST(PlannerAtTheBench, DarkPapers) {
  const Outcome r = outcome_of(PaperSet::dark);
  print("Dark", r);
  EXPECT_LE(percentile95(r.coats, 2), 1.0);
  EXPECT_LT(median(r.fresh, 1), median(r.naive, 1));
}

}  // namespace
}  // namespace mendtone::virtual_bench
