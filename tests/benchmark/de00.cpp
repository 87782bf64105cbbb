#include <benchmark/benchmark.h>
#include <lcms2.h>

#include <vector>

#include "mendtone/base/random.hpp"
#include "mendtone/colour/de00_planar.hpp"

namespace {

constexpr std::size_t pairs = 1 << 16;

/// Neighbouring colours all over CIELAB, as two photographs of one sheet give them.
template <class Number>
struct Colours {
  std::vector<Number> L1, a1, b1, L2, a2, b2;

  Colours() {
    mendtone::CounterRandom random(2000);
    for (std::size_t i = 0; i < pairs; ++i) {
      L1.push_back(static_cast<Number>(100 * random.uniform()));
      a1.push_back(static_cast<Number>(200 * random.uniform() - 100));
      b1.push_back(static_cast<Number>(200 * random.uniform() - 100));
      L2.push_back(L1.back() + static_cast<Number>(2 * random.normal()));
      a2.push_back(a1.back() + static_cast<Number>(2 * random.normal()));
      b2.push_back(b1.back() + static_cast<Number>(2 * random.normal()));
    }
  }
};

void count(benchmark::State& state) {
  state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(pairs));
}

template <class Number>
void planar(benchmark::State& state) {
  const Colours<Number> c;
  std::vector<Number> out(pairs);
  for (auto _ : state) {
    mendtone::de00_planar({c.L1, c.a1, c.b1}, {c.L2, c.a2, c.b2}, std::span<Number>(out));
    benchmark::DoNotOptimize(out.data());
    benchmark::ClobberMemory();
  }
  count(state);
}

void lcms(benchmark::State& state) {
  const Colours<double> c;
  std::vector<double> out(pairs);
  for (auto _ : state) {
    for (std::size_t i = 0; i < pairs; ++i) {
      const cmsCIELab one{c.L1[i], c.a1[i], c.b1[i]}, two{c.L2[i], c.a2[i], c.b2[i]};
      out[i] = cmsCIE2000DeltaE(&one, &two, 1, 1, 1);
    }
    benchmark::DoNotOptimize(out.data());
    benchmark::ClobberMemory();
  }
  count(state);
}

}  // namespace

BENCHMARK(planar<float>)->Name("de00/float");
BENCHMARK(planar<double>)->Name("de00/double");
BENCHMARK(lcms)->Name("de00/lcms");
