#pragma once
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "mendtone/base/going.hpp"
#include "mendtone/base/result.hpp"
#include "mendtone/colour/weights.hpp"
#include "mendtone/match/aim.hpp"
#include "mendtone/match/setting.hpp"
#include "mendtone/materials/palette.hpp"

namespace mendtone {

/// What the eye sees when the sheet lies on a light sheet.
struct TransmittedAim {
  bool known = false;
  std::string why;             ///< why it is not known
  TristimulusWeights weights;  ///< of the light sheet; the bare light sheet is white
  Lab sheet;
};

/// The objective is the root of the sum of these times their squares, in DeltaE00:
///   viewing * DeltaE00(viewing light)^2 + worst * W^2
///   + transmitted * DeltaE00(transmitted)^2 + colorants * number + load * sum(load / max load).
/// W = (sum DeltaE00(light)^8)^(1/8) over all predictable lights, the worst light's difference but
/// for a few per cent; it has no corner where two lights change places. 0.01 for `colorants`: one
/// colorant more has to gain as much as 0.1 from a perfect match.
struct RecipeWeights {
  double viewing = 1;
  double worst = 0.25;
  double transmitted = 0.0025;  ///< as in the order of tissues: a twentieth of its DeltaE00
  double colorants = 0.01;
  double load = 0.0005;
};

struct Exclusion {
  std::string colorant, reason;
};

/// Everything that a search for a wash needs.
struct WashProblem {
  /// absorbed: its `ply` is the sheet to tone. film: the place's `below` is the fill as read.
  Palette palette;
  int plies = 1;  ///< all of them toned alike; a film is one
  Setting place;
  std::vector<LightAim> lights;  ///< the first is the viewing light, and predictable
  TransmittedAim transmitted;
  std::vector<double>
      max_load;  ///< one a colorant, in the palette's unit; empty: each one's load range
  std::vector<Exclusion> excluded;
  int at_most = 3;  ///< colorants in one recipe, 1-4
  int top = 10;
  RecipeWeights weights;
  /// Leaves out sizes whose number of colorants alone weighs more than the `top`-th best recipe.
  bool skip_hopeless = true;
};

/// Every fault of the problem, in words; empty: it can be searched.
std::vector<std::string> faults(const WashProblem& problem);

struct LightColour {
  std::string light;
  Lab lab;
  double de00 = 0;      ///< to the sheet
  double aim_de00 = 0;  ///< to the aim
};

/// What given loads look like in the problem's place.
struct Predicted {
  std::vector<LightColour> by_light;
  std::size_t worst = 0;  ///< index into by_light of the predictable one with the largest `de00`
  std::optional<Lab> transmitted;
  double transmitted_de00 = 0;
  double objective = 0;  ///< DeltaE00; see RecipeWeights
};

struct Recipe {
  std::vector<double> loads;  ///< one a colorant of the palette; 0: not in it
  Predicted colour;
  bool at_limit = false;  ///< a load stands at its maximum
};

struct WashResult {
  std::vector<Recipe> recipes;  ///< in order of objective, at most `top`
  Predicted untoned;
  std::uint64_t searched = 0;  ///< subsets of colorants solved, the empty one included
  std::uint64_t skipped = 0;   ///< subsets proved unable to come among the best, not solved
  bool exact = false;  ///< every subset was solved or proved worse, and no near tie was lost
  std::string proof;   ///< exact: what that rests on, in words
  std::string why_not_exact;
};

/// Predicts through the public formulas, one after the other: the oracle of the search.
/// Refuses a problem with `faults`, naming them all, and `loads` that are not one number >= 0 a
/// colorant.
Result<Predicted> predict(const WashProblem& problem, const std::vector<double>& loads);
/// The reflectance seen, for the same.
Result<std::vector<double>> predict_reflectance(const WashProblem& problem,
                                                const std::vector<double>& loads);

/// Both for loops. Contract: what the others refuse.
Predicted predict_unchecked(const WashProblem& problem, const std::vector<double>& loads);
std::vector<double> predict_reflectance_unchecked(const WashProblem& problem,
                                                  const std::vector<double>& loads);

/// Refuses what `predict` refuses.
Result<void> check(const WashProblem& problem, const std::vector<double>& loads);

/// The most of a colorant that may be laid down.
double max_load_of(const WashProblem& problem, std::size_t colorant);

/// The best recipes over every subset of up to `at_most` colorants that are not excluded, fewest
/// colorants first; sizes that provably cannot come among the best are skipped and counted. Each
/// subset's loads are found from two starts by damped Gauss-Newton steps inside the bounds, the
/// best are finished in double precision and judged by `predict`. The answer is the same for any
/// `threads` >= 1 and on any processor. `going` is asked many times a second.
Result<WashResult> search_recipes(const WashProblem& problem, int threads = 1,
                                  const Going& going = {});

/// The best loads for exactly these colorants, no load below `at_least` (coats can only add).
/// Refuses what `predict` refuses, and `colorants` that are not 1-6 indices, each once.
Result<Recipe> best_loads(const WashProblem& problem, const std::vector<int>& colorants,
                          const std::vector<double>& at_least = {});

}  // namespace mendtone
