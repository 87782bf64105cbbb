#pragma once
#include <optional>
#include <string>
#include <vector>

#include "mendtone/app/wash/wash.hpp"
#include "mendtone/match/correct.hpp"

namespace mendtone::app {

struct CorrectRequest {
  std::string recipe_file;        ///< what `wash` or `correct` answered, as JSON
  int recipe = 1;                 ///< which of its recipes was laid down
  std::optional<int> after_coat;  ///< the trial was read after this coat of it
  Sources trials;                 ///< readings of the dry trial
  std::optional<double> dosing_sd, pick_up_sd, strength_sd;  ///< relative
};

/// A trial as it is kept, so that several accumulate.
struct KeptTrial {
  std::string name;
  Trial trial;
};

struct CorrectAnswer {
  WashState state;
  std::vector<KeptTrial> trials;  ///< all so far
  Spreads spreads;
  Learnt learnt;
  std::vector<WashRecipe> recipes;  ///< the coat and the mix, the nearer first
  double now_de00 = 0;
  bool reached = false;
  std::vector<std::string> notes;
  std::vector<Warning> warnings;
};

/// What to lay down next, from a reading of the trial.
Result<CorrectAnswer> correct(const CorrectRequest& request);

std::string to_text(const CorrectAnswer&);
std::string to_json(const CorrectAnswer&);
std::string to_csv(const CorrectAnswer&);
/// False (exit 5) where neither proposal lies within the tolerance.
inline bool has_answer(const CorrectAnswer& answer) {
  return answer.reached;
}

}  // namespace mendtone::app
