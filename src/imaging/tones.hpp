#pragma once
#include <vector>

#include "mendtone/imaging/ground.hpp"

namespace mendtone {

struct WeightedLab {
  Lab lab;
  double weight = 1;
};

/// The fewest tones (at most `most`) whose grains lie within `step_de00` of their own tone on
/// average; `within_de00` is what was reached. Never empty; contract: some weight.
std::vector<MottleTone> mottle_tones(const std::vector<WeightedLab>& grains, int most,
                                     double step_de00, double& within_de00);

}  // namespace mendtone
