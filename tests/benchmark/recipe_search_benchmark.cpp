#include <benchmark/benchmark.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <nlopt.hpp>

#include "match/invented_wash.hpp"
#include "match/recipe_search.hpp"

// All sets of four of 40 invented colorants, 36 bands, three lights, one paper tone. Both sides
// minimise the same objective from the same starts, on one thread, and skip nothing. NLopt's SLSQP
// gets the scalar objective with its analytic slope, and a fixed random 2,000 of the sets.

namespace mendtone {
namespace {

constexpr int colorants = 40, set_size = 4, sample = 2000;

WashProblem paper_problem(int of = colorants) {
  WashProblem p = invented::problem(of, 36, 3, 7, 0.85);
  std::vector<double> R;
  for (double nm : p.palette.grid.nm()) R.push_back(0.72 - 0.35 / (1 + std::exp((nm - 470) / 55)));
  for (LightAim& light : p.lights) light.sheet = light.aim = *light.weights.lab(R);
  p.at_most = set_size;
  p.skip_hopeless = false;
  return p;
}

/// A fixed random sample of the sets of four.
std::vector<std::uint8_t> sampled_sets() {
  CounterRandom random(5);
  std::vector<std::uint8_t> sets;
  for (int i = 0; i < sample; ++i) {
    std::vector<std::uint8_t> one;
    while (one.size() < set_size) {
      const auto c = static_cast<std::uint8_t>(random.below(colorants));
      if (std::find(one.begin(), one.end(), c) == one.end()) one.push_back(c);
    }
    std::sort(one.begin(), one.end());
    sets.insert(sets.end(), one.begin(), one.end());
  }
  return sets;
}

struct Peer {
  const detail::Compiled<double>* problem;
  std::vector<int> colorants;
};

/// The objective in DeltaE00: the root of what the scalar engine sums.
double peer_objective(unsigned n, const double* u, double* slope, void* data) {
  const Peer& peer = *static_cast<const Peer*>(data);
  const double objective =
      std::sqrt(detail::scalar_objective(*peer.problem, peer.colorants, u, slope));
  if (slope != nullptr)
    for (unsigned i = 0; i < n; ++i) slope[i] /= 2 * objective;
  return objective;
}

/// The best of SLSQP from every start, in DeltaE00.
double slsqp(Peer& peer) {
  double best = 1e300;
  for (double start : detail::starts) {
    nlopt::opt solver(nlopt::LD_SLSQP, set_size);
    solver.set_min_objective(peer_objective, &peer);
    std::vector<double> u, highest;
    for (int c : peer.colorants) {
      highest.push_back(peer.problem->strength[c].u_max);
      u.push_back(start * highest.back());
    }
    solver.set_lower_bounds(std::vector<double>(set_size, 0.0));
    solver.set_upper_bounds(highest);
    solver.set_ftol_rel(1e-6);
    solver.set_ftol_abs(1e-6);
    double value = 0;
    try {
      solver.optimize(u, value);
    } catch (const nlopt::roundoff_limited&) {
    }
    best = std::min(best, peer_objective(set_size, u.data(), nullptr, &peer));
  }
  return best;
}

std::vector<int> set_at(const std::vector<std::uint8_t>& sets, int i) {
  return {sets.begin() + i * set_size, sets.begin() + (i + 1) * set_size};
}

/// The same palette as if its numbers were of that model; absorption a path is half of Kubelka's.
WashProblem of_model(WashProblem problem, LayerModel model) {
  if (model == LayerModel::two_fluxes) return problem;
  problem.palette.model = problem.palette.ply.model = model;
  problem.palette.screening = problem.palette.quenching = 0;
  for (double& K : problem.palette.ply.K) K /= 2;
  for (Colorant& colorant : problem.palette.colorants)
    for (double& k : colorant.k) k /= 2;
  return problem;
}

void mendtone_search(benchmark::State& state, LayerModel model) {
  const WashProblem problem = of_model(paper_problem(), model);
  std::uint64_t searched = 0;
  for (auto _ : state) {
    const auto found = search_recipes(problem, 1);
    searched += found->searched;
    benchmark::DoNotOptimize(found->recipes.front().colour.objective);
  }
  state.SetItemsProcessed(static_cast<std::int64_t>(searched));

  // How the same sets come out against the peer, in the counters.
  const auto exact = detail::compile<double>(problem, {});
  const auto quick = detail::compile<float>(problem, {});
  const std::vector<std::uint8_t> sets = sampled_sets();
  detail::LaneSolver solver(quick, set_size);
  std::vector<float> F(sample), strengths(sample * set_size);
  solver.solve(sets.data(), sample, F.data(), strengths.data());
  int worse = 0;
  for (int i = 0; i < sample; ++i) {
    Peer peer{&exact, set_at(sets, i)};
    std::vector<double> u(strengths.begin() + i * set_size, strengths.begin() + (i + 1) * set_size);
    worse += peer_objective(set_size, u.data(), nullptr, &peer) > slsqp(peer) + 0.001;
  }
  state.counters["worse_than_nlopt_by_0.001_per_cent"] = 100.0 * worse / sample;
}
BENCHMARK_CAPTURE(mendtone_search, two, LayerModel::two_fluxes)
    ->Name("recipe_search/mendtone")
    ->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(mendtone_search, many, LayerModel::many_fluxes_45_0)
    ->Name("recipe_search/many_fluxes")
    ->Unit(benchmark::kMillisecond);

/// All 4,087,975 sets of up to four of 100 colorants; `state.range(0)`: those that cannot come
/// among the best may be skipped.
void search_of_100(benchmark::State& state) {
  WashProblem problem = paper_problem(100);
  problem.skip_hopeless = state.range(0) == 1;
  std::uint64_t covered = 0, skipped = 0;
  for (auto _ : state) {
    const auto found = search_recipes(problem, 1);
    covered += found->searched + found->skipped;
    skipped = found->skipped;
  }
  state.SetItemsProcessed(static_cast<std::int64_t>(covered));
  state.counters["skipped_sets"] = static_cast<double>(skipped);
}
BENCHMARK(search_of_100)
    ->Name("recipe_search_of_100")
    ->ArgName("bounded")
    ->Arg(0)
    ->Arg(1)
    ->Unit(benchmark::kMillisecond);

void nlopt_search(benchmark::State& state) {
  const WashProblem problem = paper_problem();
  const auto exact = detail::compile<double>(problem, {});
  const std::vector<std::uint8_t> sets = sampled_sets();
  for (auto _ : state)
    for (int i = 0; i < sample; ++i) {
      Peer peer{&exact, set_at(sets, i)};
      benchmark::DoNotOptimize(slsqp(peer));
    }
  state.SetItemsProcessed(state.iterations() * sample);
}
BENCHMARK(nlopt_search)->Name("recipe_search/nlopt")->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace mendtone
