#pragma once
#include <vector>

#include "mendtone/match/recipe.hpp"

namespace mendtone {

/// What the sheet looks like after its n-th coat.
struct Coat {
  int n = 1;
  std::vector<double> loads;  ///< on the sheet by then, one a colorant
  Predicted colour;
};

/// Equal coats of one mix: colours after each of them, the last being the whole recipe. The coats
/// can be stopped short at any of them. Refuses fewer than one coat, and what `predict` refuses.
Result<std::vector<Coat>> coats(const WashProblem& problem, const std::vector<double>& loads,
                                int count);

/// The coat after which the first trial is read: the last that lays at most 80 % of each load (at
/// least the first), since loads can be added and never taken away.
int first_trial_coat(int count);

/// One bath let down with water.
struct LetDown {
  double factor = 1;  ///< of the bath's strength
  std::vector<double> loads;
  Predicted colour;
  /// Places in the drawer that it would fill: its distance to each.
  std::vector<double> gap_de00;
};

/// The sheets that one bath gives when it is let down to `factors` of its strength, one sheet
/// each. `gaps` are the tones that the drawer lacks, under the viewing light.
/// Refuses a factor that is not above 0, and what `predict` refuses.
Result<std::vector<LetDown>> let_down_series(const WashProblem& problem,
                                             const std::vector<double>& loads,
                                             const std::vector<double>& factors,
                                             const std::vector<Lab>& gaps = {});

}  // namespace mendtone
