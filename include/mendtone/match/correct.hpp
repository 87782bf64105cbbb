#pragma once
#include <array>
#include <vector>

#include "mendtone/match/recipe.hpp"

namespace mendtone {

/// One reading of a toned trial, and what was laid down for it.
struct Trial {
  /// Loads that this step was meant to lay down, one a colorant: a whole mix on a fresh sheet, or
  /// one more coat on the sheet of the trial before.
  std::vector<double> added;
  bool same_sheet = false;          ///< laid on the sheet of the trial before
  std::vector<double> reflectance;  ///< read in the problem's place, on its grid
};

/// How far everything strays, as relative standard deviations (reading: absolute; model: DeltaE00).
struct Spreads {
  double dosing = 0.05;    ///< of one colorant in one mix
  double pick_up = 0.05;   ///< of one sheet or coat
  double strength = 0.05;  ///< of a stock against its calibration
  double reading = 0.002 / 1.7320508075688772;
  double model_de00 = 0.4;  ///< of the calibrated model where nothing was read
};

/// What a calibration says of its own spreads: its dosing, and a model that strays on each axis as
/// its held-out swatches do. Too large by their own dosing, too small for mixtures that nobody
/// read; corrections at the virtual bench come out alike from half of it to its double.
Spreads spreads_of(const Palette& palette);

struct LearntStrength {
  double strength = 1;  ///< against the calibration
  double u95 = 0;
};

/// What the trials teach.
struct Learnt {
  std::vector<LearntStrength> colorants;  ///< one a colorant; those never laid down keep the prior
  Lab offset;                             ///< what the model is off by, under the viewing light
  double of_which_dosing = 0;    ///< share of the last trial's offset put down to drops and pick-up
  double measured_de00 = 0;      ///< last trial: read against predicted
  Lab last;                      ///< last trial as read, viewing light
  Lab predicted;                 ///< last trial as predicted before it was read, viewing light
  std::vector<double> on_sheet;  ///< loads thought to be on the last trial's sheet, by the
                                 ///< calibration's measure
  std::vector<Lab> offsets;      ///< the same offset under every light
};

/// Weighs each trial against the spreads (a Gaussian posterior by repeated linearisation): drops
/// and pick-up stray anew each time, stock strengths and the model's own error stay.
/// Refuses what `predict` refuses, no trial at all, and a trial of other colorants or bands.
Result<Learnt> learn_from(const WashProblem& problem, const std::vector<Trial>& trials,
                          const Spreads& spreads);

/// A proposal after a trial.
struct Correction {
  std::vector<double> loads;     ///< to measure out, one a colorant
  std::vector<double> on_sheet;  ///< already there, by the calibration's measure; a new mix: none
  std::vector<Lab> offsets;      ///< what the model is off by, under every light
  Predicted colour;              ///< expected
};

struct Corrections {
  Learnt learnt;
  Correction coat;  ///< one more on the sheet in hand; all loads 0: leave it
  Correction mix;   ///< a new mix on a fresh sheet
  bool coat_is_nearer = false;
  Predicted now;  ///< the last trial's sheet, as it is, in its place
};

/// What to lay down next: with the colorants of `used`, or one colorant more where that is nearer
/// by the objective. `trial_place` is where the trials were read (the problem's own place, or the
/// bare tissue over its backing). Refuses what `learn_from` and `best_loads` refuse, and
/// more than five colorants in `used`.
Result<Corrections> correct(const WashProblem& problem, const Setting& trial_place,
                            const std::vector<int>& used, const std::vector<Trial>& trials,
                            const Spreads& spreads);

/// The problem with every sheet and aim moved against what the model is off by. Contract: as many
/// offsets as lights, at most.
WashProblem with_offsets(const WashProblem& problem, const std::vector<Lab>& offsets);

/// What `loads` (by the calibration's measure) should look like, the offsets counted in. Refuses
/// what `predict` refuses, and offsets that are not one a light.
Result<Predicted> expected(const WashProblem& problem, const std::vector<double>& loads,
                           const std::vector<Lab>& offsets);

}  // namespace mendtone
