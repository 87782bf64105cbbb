#pragma once
#include <string>

#include "mendtone/app/wash/wash.hpp"
#include "mendtone/match/correct.hpp"

namespace mendtone::app {

using results::CorrectAnswer;
using results::CorrectRequest;

/// What to lay down next, from a reading of the trial.
Result<CorrectAnswer> correct(const CorrectRequest& request, const InputPlace& place = {});

std::string to_text(const CorrectAnswer&);
/// False (exit 5) where neither the trial nor a proposal lies within the tolerance.
inline bool has_answer(const CorrectAnswer& answer) {
  return answer.within_tolerance;
}

}  // namespace mendtone::app
