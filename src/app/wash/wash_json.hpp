#pragma once
#include "app/inputs/json.hpp"
#include "mendtone/app/wash/correct.hpp"
#include "mendtone/app/wash/wash.hpp"

namespace mendtone::app {

Json recipe_json(const WashState& state, const WashRecipe& recipe, std::size_t number);

/// The whole problem: a correction needs nothing else.
Json state_json(const WashState& state);
Result<WashState> state_in(const Json& problem);

Json trials_json(const WashState& state, const std::vector<KeptTrial>& trials);
Result<std::vector<KeptTrial>> trials_in(const Json& json, const WashState& state);

/// The loads of recipe `number` (from 1) of an answer of `wash` or `correct`.
Result<std::vector<double>> loads_in(const Json& document, const WashState& state, int number);

}  // namespace mendtone::app
