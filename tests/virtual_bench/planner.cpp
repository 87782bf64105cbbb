#include "virtual_bench/planner.hpp"

#include <algorithm>
#include <cmath>

#include "mendtone/colour/difference.hpp"
#include "mendtone/materials/calibration.hpp"

namespace mendtone::virtual_bench {
namespace {

constexpr double drop_ml = 0.05, pick_up_ml_m2 = 200, volume_ml = 200;
/// Drops in `volume_ml` that lay down a colorant's top load: a stock let down for pale papers.
constexpr double drops_for_top_load = 400;

std::vector<double> column(const Distances& all, std::size_t trial) {
  std::vector<double> values;
  for (const auto& row : all) values.push_back(row.at(trial));
  std::sort(values.begin(), values.end());
  return values;
}

/// Mean of the repeats.
std::vector<double> mean_of(const std::vector<Reading>& readings) {
  std::vector<double> mean(readings.front().spectrum->value.size(), 0.0);
  for (const Reading& r : readings)
    for (std::size_t b = 0; b < mean.size(); ++b)
      mean[b] += r.spectrum->value[b] / static_cast<double>(readings.size());
  return mean;
}

double distance(const VirtualBench& bench, const Target& target, const Sheet& sheet) {
  return de00(target.lab, bench.true_lab(sheet.loads, "board"));
}

std::vector<double> noisy(const VirtualBench& bench, std::vector<double> R, CounterRandom& random) {
  const double sd = bench.errors().reading / std::sqrt(static_cast<double>(bench.errors().repeats));
  for (double& r : R) r += sd * random.normal();
  return R;
}

std::vector<double> times(std::vector<double> loads, double by) {
  for (double& load : loads) load *= by;
  return loads;
}

/// The problem with the colour of `loads` for its aim: drops are counted towards that.
WashProblem aimed_at(WashProblem problem, const std::vector<double>& loads) {
  const Predicted there = *predict(problem, loads);
  for (std::size_t m = 0; m < problem.lights.size(); ++m)
    problem.lights[m].aim = there.by_light[m].lab;
  return problem;
}

std::vector<int> used_in(const std::vector<double>& loads) {
  std::vector<int> used;
  for (std::size_t c = 0; c < loads.size(); ++c)
    if (loads[c] > 0) used.push_back(static_cast<int>(c));
  return used;
}

}  // namespace

double median(const Distances& all, std::size_t trial) {
  const std::vector<double> v = column(all, trial);
  return 0.5 * (v[(v.size() - 1) / 2] + v[v.size() / 2]);
}

double percentile95(const Distances& all, std::size_t trial) {
  const std::vector<double> v = column(all, trial);
  return v[static_cast<std::size_t>(std::ceil(0.95 * static_cast<double>(v.size()))) - 1];
}

Planner::Planner(const VirtualBench& bench, std::uint64_t seed) : bench_(bench) {
  CounterRandom random(seed, 11);
  std::vector<Reading> readings = bench.bare_readings(random);
  const std::vector<Reading> ladders = bench.ladder_readings(6, random);
  readings.insert(readings.end(), ladders.begin(), ladders.end());
  const auto problem = calibration_problem(readings, Application::absorbed);
  palette_ = calibrate(problem.value())->palette;
  board_ = noisy(bench, bench.backing("board"), random);
  for (const char* name : {"D65", "LED-B1", "LED-B3", "A"})
    lights_.push_back(
        {*tristimulus_weights(bench.grid(), *standard_light(name), Observer::deg10), {}, {}});
}

WashProblem Planner::problem_for(const Target& target, CounterRandom& random) const {
  WashProblem problem;
  problem.palette = palette_;
  problem.place.grid = bench_.grid();
  problem.place.below = board_;
  const std::vector<double> R = noisy(bench_, target.reflectance, random);
  problem.lights = lights_;
  for (LightAim& light : problem.lights) light.sheet = light.aim = *light.weights.lab(R);
  for (std::size_t c = 0; c < palette_.colorants.size(); ++c)
    problem.max_load.push_back(palette_.colorants[c].load_range[1]);
  problem.top = 1;
  return problem;
}

std::vector<double> Planner::whole_drops(const WashProblem& problem,
                                         const std::vector<double>& loads, double dilution,
                                         const std::vector<double>& on_sheet,
                                         const std::vector<double>& strength) const {
  if (used_in(loads).empty()) return loads;
  DispenseProblem dispensing;
  dispensing.volume_ml = volume_ml;
  dispensing.pick_up_ml_m2 = pick_up_ml_m2;
  for (std::size_t c = 0; c < palette_.colorants.size(); ++c)
    dispensing.stocks.push_back({palette_.colorants[c].name, palette_.colorants[c].name,
                                 bench_.top_load()[c] / drops_for_top_load / drop_ml / dilution,
                                 drop_ml});
  dispensing.on_sheet = on_sheet;
  dispensing.strength = strength;
  return dispense(dispensing, problem, loads)->loads;
}

std::vector<double> Planner::read(const Sheet& sheet, CounterRandom& random) const {
  return mean_of(bench_.read(sheet, sheet.loads, "trial", Role::trial, "board", random));
}

std::vector<double> Planner::fresh_mixes(const Target& target, int corrections,
                                         std::uint64_t seed) const {
  CounterRandom random(seed, 21);
  const WashProblem problem = problem_for(target, random);
  std::vector<double> loads = search_recipes(problem)->recipes.front().loads;
  const std::vector<int> used = used_in(loads);
  loads = whole_drops(problem, loads, 1, {}, {});
  std::vector<Trial> trials;
  std::vector<double> distances;
  for (int trial = 0;; ++trial) {
    const Sheet sheet = bench_.toned(loads, random);
    distances.push_back(distance(bench_, target, sheet));
    if (trial == corrections) return distances;
    trials.push_back({loads, false, read(sheet, random)});
    const Corrections next = *correct(problem, problem.place, used, trials, spreads_of(palette_));
    std::vector<double> strength;
    for (const LearntStrength& s : next.learnt.colorants) strength.push_back(s.strength);
    loads = whole_drops(with_offsets(problem, next.mix.offsets), next.mix.loads, 1, {}, strength);
  }
}

std::vector<double> Planner::coats(const Target& target, int additions, std::uint64_t seed) const {
  CounterRandom random(seed, 31);
  const WashProblem problem = problem_for(target, random);
  std::vector<double> loads = search_recipes(problem)->recipes.front().loads;
  const std::vector<int> used = used_in(loads);
  loads = times(loads, 0.8);
  loads = whole_drops(aimed_at(problem, loads), loads, 1, {}, {});
  Sheet sheet{std::vector<double>(loads.size(), 0.0)};
  std::vector<Trial> trials;
  std::vector<double> distances;
  for (int coat = 0;; ++coat) {
    if (!used_in(loads).empty()) bench_.coat(sheet, bench_.mix(loads, random), random);
    distances.push_back(distance(bench_, target, sheet));
    if (coat == additions) return distances;
    trials.push_back({loads, coat > 0, read(sheet, random)});
    const Corrections next = *correct(problem, problem.place, used, trials, spreads_of(palette_));
    std::vector<double> strength;
    for (const LearntStrength& s : next.learnt.colorants) strength.push_back(s.strength);
    // A coat adds little: its stocks are let down ten times more.
    loads = whole_drops(with_offsets(problem, next.coat.offsets), next.coat.loads, 10,
                        next.coat.on_sheet, strength);
  }
}

std::vector<double> floor_of_fresh_mix(const VirtualBench& bench, const Target& target,
                                       std::uint64_t seed) {
  CounterRandom random(seed, 41);
  return {distance(bench, target, bench.toned(target.true_loads, random))};
}

std::vector<double> floor_of_coats(const VirtualBench& bench, const Target& target, int additions,
                                   std::uint64_t seed) {
  CounterRandom random(seed, 51);
  Sheet sheet = bench.toned(times(target.true_loads, 0.8), random);
  std::vector<double> distances{distance(bench, target, sheet)};
  for (int coat = 0; coat < additions; ++coat) {
    std::vector<double> missing = target.true_loads;
    for (std::size_t c = 0; c < missing.size(); ++c)
      missing[c] = std::max(0.0, missing[c] - sheet.loads[c]);
    bench.coat(sheet, bench.mix(missing, random), random);
    distances.push_back(distance(bench, target, sheet));
  }
  return distances;
}

NaivePlanner::NaivePlanner(const VirtualBench& bench, std::uint64_t seed) : bench_(bench) {
  CounterRandom random(seed, 61);
  const auto ratio = [](double R) { return (1 - R) * (1 - R) / (2 * R); };
  const std::size_t bands = bench.grid().size();
  const auto measured = [&](const Sheet& sheet) {
    return mean_of(bench.read(sheet, sheet.loads, "rung", Role::swatch, "white", random));
  };
  const std::vector<double> none(bench.size(), 0.0);
  const std::vector<double> bare = measured(Sheet{none});
  Palette& palette = problem_.palette;
  palette.grid = bench.grid();
  // So thick that only K/S counts.
  palette.ply.grid = bench.grid();
  palette.ply.S.assign(bands, 100.0);
  for (double R : bare) palette.ply.K.push_back(100 * ratio(R));
  for (std::size_t c = 0; c < bench.size(); ++c) {
    Colorant colorant;
    colorant.name = bench.colorants()[c].name;
    colorant.s.assign(bands, 0.0);
    std::vector<double> xy(bands, 0.0);
    double xx = 0;
    for (double load : bench.rung_loads(c, 6)) {
      std::vector<double> loads = none;
      loads[c] = load;
      const std::vector<double> R = measured(bench.toned(loads, random));
      for (std::size_t b = 0; b < bands; ++b) xy[b] += load * (ratio(R[b]) - ratio(bare[b]));
      xx += load * load;
    }
    for (double v : xy) colorant.k.push_back(std::max(0.0, 100 * v / xx));
    palette.colorants.push_back(colorant);
    problem_.max_load.push_back(bench.top_load()[c]);
  }
  problem_.place.grid = bench.grid();
  problem_.place.below = bench.backing("board");
  problem_.top = 1;
  problem_.lights.push_back({bench.weights(), {}, {}});
}

std::vector<double> NaivePlanner::fresh_mixes(const Target& target, int corrections,
                                              std::uint64_t seed) const {
  CounterRandom random(seed, 71);
  WashProblem problem = problem_;
  LightAim& light = problem.lights[0];
  light.sheet = light.aim = *light.weights.lab(noisy(bench_, target.reflectance, random));
  std::vector<double> distances;
  for (int trial = 0;; ++trial) {
    const Recipe recipe = search_recipes(problem)->recipes.front();
    const Sheet sheet = bench_.toned(recipe.loads, random);
    distances.push_back(distance(bench_, target, sheet));
    if (trial == corrections) return distances;
    const Lab read = *light.weights.lab(
        mean_of(bench_.read(sheet, sheet.loads, "trial", Role::trial, "board", random)));
    light.aim = {light.aim.L + light.sheet.L - read.L, light.aim.a + light.sheet.a - read.a,
                 light.aim.b + light.sheet.b - read.b};
  }
}

}  // namespace mendtone::virtual_bench
