#include <benchmark/benchmark.h>
#include <lcms2.h>

#include <algorithm>

#include "match/drawer.hpp"
#include "mendtone/optics/layer.hpp"

// 10,000 tissues x 4 plies x 3 uses x 5 lights, margin and light sheet included, from
// absorption and scattering to the order: ours, in many fluxes and in two, and the same work
// written plainly with LittleCMS for CIELAB and CIEDE2000.
namespace {

using namespace mendtone;

constexpr int tissues = 10000, plies = 4;
const std::vector<const char*> five_lights{"D65", "LED-B1", "LED-B2", "LED-B3", "A"};

struct Task {
  std::vector<Ply> drawer;
  Sheet sheet;
  RankProblem problem;
  explicit Task(LayerModel model)
      : drawer(invented::drawer(tissues, 1, model)),
        sheet(invented::sheet(model)),
        problem(invented::problem(sheet,
                                  {invented::place(Use::loss, Side::back, sheet),
                                   invented::place(Use::tear, Side::back, sheet),
                                   invented::place(Use::lining, Side::back, sheet)},
                                  five_lights)) {}
  std::size_t candidates() const { return drawer.size() * plies * problem.places.size(); }
};

void count(benchmark::State& state, const Task& task) {
  state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(task.candidates()));
}

void ours(benchmark::State& state, LayerModel model) {
  const Task task(model);
  for (auto _ : state) {
    Drawer drawer(task.sheet.grid, plies);
    drawer.reserve(task.drawer.size());
    for (const Ply& one : task.drawer) drawer.add(one);
    benchmark::DoNotOptimize(*rank(drawer, task.problem));
  }
  count(state, task);
}

cmsCIELab lab_of(const std::vector<double>& spectrum, const TristimulusWeights& weights) {
  const Xyz sum = *weights.xyz(spectrum);
  const cmsCIEXYZ xyz{sum.X, sum.Y, sum.Z},
      white{weights.white.X, weights.white.Y, weights.white.Z};
  cmsCIELab lab;
  cmsXYZ2Lab(&white, &lab, &xyz);
  return lab;
}

double difference(const Lab& sheet, const cmsCIELab& lab) {
  const cmsCIELab reference{sheet.L, sheet.a, sheet.b};
  return cmsCIE2000DeltaE(&reference, &lab, 1, 1, 1);
}

double score_of(const Task& task, const RankPlace& place, const std::vector<Slab>& pile) {
  const RankWeights& w = task.problem.weights;
  const auto& lights = task.problem.lights;
  const std::vector<double> R = seen_unchecked(place.setting, pile);
  double first = 0, worst = 0;
  for (std::size_t l = 0; l < lights.size(); ++l) {
    const double d = difference(lights[l].aim, lab_of(R, lights[l].weights));
    if (l == 0) first = d;
    worst = std::max(worst, d);
  }
  double score = w.viewing * first + w.worst * worst;
  if (place.margin)
    score += w.overlap * difference(lights[0].sheet,
                                    lab_of(seen_unchecked(*place.margin, pile), lights[0].weights));
  const LightSheetAim& through = *task.problem.light_sheet;
  return score + w.light_sheet *
                     difference(through.sheet, lab_of(shone_through_unchecked(place.setting, pile),
                                                      through.weights));
}

void naive(benchmark::State& state) {
  const Task task(LayerModel::many_fluxes_45_0);
  for (auto _ : state) {
    std::vector<std::pair<double, std::size_t>> order;
    for (const Ply& one : task.drawer)
      for (int n = 1; n <= plies; ++n) {
        const std::vector<Slab> pile = stacked(one, n);
        for (const RankPlace& place : task.problem.places)
          order.emplace_back(score_of(task, place, pile), order.size());
      }
    std::sort(order.begin(), order.end());
    benchmark::DoNotOptimize(order.data());
  }
  count(state, task);
}

}  // namespace

BENCHMARK_CAPTURE(ours, many, LayerModel::many_fluxes_45_0)
    ->Name("tissue_rank/mendtone")
    ->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(ours, two, LayerModel::two_fluxes)
    ->Name("tissue_rank/two_fluxes")
    ->Unit(benchmark::kMillisecond);
BENCHMARK(naive)->Name("tissue_rank/naive")->Unit(benchmark::kMillisecond);
