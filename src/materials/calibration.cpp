#include "mendtone/materials/calibration.hpp"

#include <algorithm>
#include <cmath>

#include "materials/calibration_fit.hpp"

namespace mendtone {
namespace {

using namespace calibration;

double quantile(std::vector<double> values, double share) {
  if (values.empty()) return 0;
  std::sort(values.begin(), values.end());
  const double at = share * static_cast<double>(values.size() - 1);
  const auto low = static_cast<std::size_t>(at);
  const std::size_t high = std::min(low + 1, values.size() - 1);
  return values[low] + (at - static_cast<double>(low)) * (values[high] - values[low]);
}

/// Held-out CIEDE2000 of each swatch.
std::vector<double> cross_validated(const Frame& frame, const Fit& fit,
                                    const std::vector<std::vector<std::size_t>>& folds) {
  std::vector<double> de(frame.problem.swatches.size(), 0.0);
  for (const auto& fold : folds) {
    const Eigen::VectorXd theta = without(frame, fit, fold);
    for (std::size_t m : fold) de[m] = de00_of(frame, fit.layout, theta, m);
  }
  return de;
}

std::string name_of(const Law& law) {
  std::string name = law.scatters ? "two constants" : "single constant";
  name += ", " + std::string(mendtone::name_of(law.load)) + " load law";
  if (law.interface) name += ", fitted interface";
  if (law.filling) name += ", pores filled";
  return name;
}

struct Tried {
  Fit fit;
  std::vector<double> held_out;
  TriedLaw summary;
};

Tried tried(const Frame& frame, Fit fit, const std::vector<std::vector<std::size_t>>& folds) {
  Tried result{std::move(fit), {}, {}};
  const Law& law = result.fit.layout.law();
  result.held_out = cross_validated(frame, result.fit, folds);
  std::vector<double> inside;
  for (const Linear& linear : result.fit.linear) inside.push_back(linear.de00);
  double mean = 0;
  for (double de : result.held_out) mean += de / static_cast<double>(result.held_out.size());
  result.summary = {name_of(law),
                    law.scatters,
                    law.interface,
                    law.filling,
                    false,
                    law.load,
                    quantile(result.held_out, 0.5),
                    mean,
                    quantile(result.held_out, 0.95),
                    quantile(inside, 0.5),
                    false};
  return result;
}

}  // namespace

Calibration calibrate(const CalibrationProblem& problem) {
  const Frame frame(problem);
  const auto all_folds = folds(problem);
  const bool film = problem.application == Application::film;
  std::vector<Tried> candidates;
  const auto layout = [&](const Law& law) {
    return Layout(law, problem.colorants.size(), problem.grid.size());
  };
  const auto add = [&](const Law& law, const Fit* from) {
    const Layout to = layout(law);
    candidates.push_back(tried(
        frame,
        fitted(frame, to, from ? carried_over(from->layout, from->theta, to) : start(frame, to),
               from ? from->noise : Noise{}),
        all_folds));
  };
  candidates.reserve(16);
  using Kind = LoadLaw::Kind;
  for (Kind kind : {Kind::linear, Kind::power, Kind::saturating})
    add({false, false, false, kind}, kind == Kind::linear ? nullptr : &candidates[0].fit);
  for (Kind kind : {Kind::linear, Kind::power, Kind::saturating})
    add({true, false, false, kind}, kind == Kind::linear ? nullptr : &candidates[3].fit);
  for (std::size_t i : {3, 4, 5}) {
    Law law = candidates[i].fit.layout.law();
    (film ? law.interface : law.filling) = true;
    add(law, &candidates[i].fit);
  }
  std::size_t best = 0;
  for (std::size_t i = 0; i < candidates.size(); ++i)
    if (candidates[i].summary.mean_de00 < candidates[best].summary.mean_de00) best = i;
  candidates[best].summary.chosen = true;

  Calibration result;
  for (const Tried& candidate : candidates) result.laws.push_back(candidate.summary);
  const Tried& chosen = candidates[best];
  result.palette = as_palette(frame, chosen.fit.layout, chosen.fit.theta);
  result.palette.cross_validated_de00 = chosen.summary.cross_validated_de00;
  result.dosing_sd = chosen.fit.noise.dosing;
  result.palette.posterior.dosing_sd = chosen.fit.noise.dosing;
  result.palette.posterior.error_de00 = chosen.fit.noise.colour;
  result.held_out_folds = all_folds.size();
  for (std::size_t j = 0; j < problem.colorants.size(); ++j) {
    std::vector<double> loads;
    for (const CalibrationSwatch& swatch : problem.swatches)
      if (swatch.loads[j] > 0) loads.push_back(swatch.loads[j]);
    const auto [low, high] = std::minmax_element(loads.begin(), loads.end());
    result.palette.colorants[j].load_range = {*low, *high};
  }
  for (std::size_t m = 0; m < problem.swatches.size(); ++m) {
    SwatchResidual residual;
    residual.name = problem.swatches[m].name;
    residual.where = problem.swatches[m].where;
    residual.loads = problem.swatches[m].loads;
    residual.de00 = chosen.fit.linear[m].de00;
    residual.cross_validated_de00 = chosen.held_out[m];
    residual.weight = chosen.fit.weight[static_cast<Eigen::Index>(m)];
    result.residuals.push_back(std::move(residual));
  }
  result.warnings = problem.warnings;
  return result;
}

}  // namespace mendtone
