#pragma once
#include <cmath>
#include <string>
#include <vector>

#include "mendtone/base/random.hpp"
#include "mendtone/match/recipe.hpp"

namespace mendtone::invented {

/// An invented tissue and palette: smooth earth-like absorption edges, two or three plies deep.
inline WashProblem problem(int colorants, std::size_t bands, int lights, std::uint64_t seed,
                           double exponent = 1) {
  WashProblem p;
  const WavelengthGrid grid =
      WavelengthGrid::equal_steps(380, 350.0 / static_cast<double>(bands - 1), bands);
  p.palette.grid = grid;
  p.palette.load_unit = LoadUnit::g_m2;
  p.palette.substrate = "tissue";
  CounterRandom random(seed);
  for (double nm : grid.nm()) {
    p.palette.ply.K.push_back(0.004 + 0.02 * std::exp(-(nm - 380) / 60));
    p.palette.ply.S.push_back(0.45 - 0.0002 * (nm - 380));
    p.place.below.push_back(0.83 - 0.06 * std::exp(-(nm - 380) / 80));
  }
  p.palette.ply.grid = p.place.grid = grid;
  for (int c = 0; c < colorants; ++c) {
    Colorant colorant;
    colorant.name = "c" + std::to_string(c);
    const double edge = 430 + 250 * random.uniform(), width = 15 + 40 * random.uniform();
    const double depth = 0.15 + 0.8 * random.uniform(), floor = 0.01 + 0.1 * random.uniform();
    const double scatter = 0.02 + 0.25 * random.uniform();
    for (double nm : grid.nm()) {
      colorant.k.push_back(floor + depth / (1 + std::exp((nm - edge) / width)));
      colorant.s.push_back(scatter * (0.6 + 0.4 / (1 + std::exp((edge - nm) / width))));
    }
    colorant.law = {exponent == 1 ? LoadLaw::Kind::linear : LoadLaw::Kind::power, exponent};
    colorant.load_range = {0, 2};
    p.palette.colorants.push_back(colorant);
    p.max_load.push_back(2);
  }
  const char* names[] = {"D65", "A", "LED-B3", "LED-B1", "LED-B2"};
  for (int i = 0; i < lights; ++i) {
    auto weights = tristimulus_weights(grid, *standard_light(names[i]), Observer::deg10);
    p.lights.push_back({*weights, {}, {}});
  }
  return p;
}

/// Makes the target what `loads` give.
inline void aim_at(WashProblem& p, const std::vector<double>& loads, double noise = 0,
                   std::uint64_t seed = 1) {
  std::vector<double> R = *predict_reflectance(p, loads);
  CounterRandom random(seed, 99);
  for (double& r : R) r *= 1 + noise * random.normal();
  for (LightAim& light : p.lights) light.sheet = light.aim = *light.weights.lab(R);
}

}  // namespace mendtone::invented
