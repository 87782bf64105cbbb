#pragma once
#include "cli/command.hpp"

namespace mendtone::cli {

// One a verb, each in a file of its own, in the order of a conservator's day.

}  // namespace mendtone::cli
