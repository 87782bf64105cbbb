#pragma once
#include "mendtone/app/wash/wash.hpp"
#include "mendtone/match/correct.hpp"

// A wash as it is computed with, and as an answer tells it.
namespace mendtone::app {

results::WashPlan plan_of(const WashState& state);
/// Refuses a plan whose parts do not fit each other.
Result<WashState> state_of(const results::WashPlan& plan);
results::WashRecipe told(const WashState& state, const PlannedRecipe& made, std::size_t number);
std::vector<results::WashRecipe> told(const WashState& state,
                                      const std::vector<PlannedRecipe>& made);

}  // namespace mendtone::app
