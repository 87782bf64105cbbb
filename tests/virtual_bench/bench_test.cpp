#include "virtual_bench/bench.hpp"

#include <gtest/gtest.h>

#include "mendtone/colour/difference.hpp"

namespace mendtone::virtual_bench::bench_test {
namespace {

TEST(VirtualBench, LaddersDarken) {
  const VirtualBench bench(VirtualBench::Kind::toned_tissue, 1);
  std::vector<double> loads(bench.size(), 0.0);
  for (std::size_t j = 0; j < bench.size(); ++j) {
    double before = bench.true_lab(loads, "white").L;
    for (double load : bench.rung_loads(j, 6)) {
      loads[j] = load;
      const Lab lab = bench.true_lab(loads, "white");
      EXPECT_LT(lab.L, before) << bench.colorants()[j].name;
      before = lab.L;
    }
    loads[j] = 0;
  }
}

TEST(VirtualBench, TargetsLieInTheirBoxAndAreReachedByTheirLoads) {
  const VirtualBench bench(VirtualBench::Kind::toned_tissue, 1);
  for (PaperSet set : {PaperSet::pale, PaperSet::dark})
    for (const Target& target : draw_targets(bench, set, 10, 7)) {
      EXPECT_GE(target.lab.L, set == PaperSet::pale ? 70 : 45);
      EXPECT_LE(target.lab.L, set == PaperSet::pale ? 88 : 70);
      // The metameric part is taken out to rounding.
      EXPECT_LT(de00(bench.true_lab(target.true_loads, "board"),
                     *bench.weights().lab(target.reflectance)),
                1e-9);
    }
}

TEST(VirtualBench, TheSameSeedGivesTheSameDay) {
  const VirtualBench bench(VirtualBench::Kind::painted_film, 3);
  CounterRandom one(5), two(5);
  const auto mixture = bench.random_mixture(one);
  EXPECT_EQ(mixture, bench.random_mixture(two));
  EXPECT_EQ(bench.swatch_readings(mixture, "m", one)[0].spectrum->value,
            bench.swatch_readings(mixture, "m", two)[0].spectrum->value);
}

}  // namespace
}  // namespace mendtone::virtual_bench::bench_test
