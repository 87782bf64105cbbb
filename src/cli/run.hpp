#pragma once
#include "cli/command.hpp"

namespace mendtone::cli {

/// Adds a verb that this door does not know itself.
using AddVerb = std::function<void(CLI::App& program, Context& context)>;

/// The command line; returns the program's exit code. `person`: who answers questions, if anybody.
int run(int argc, char** argv, const AddVerb& more, std::istream* person = nullptr);

}  // namespace mendtone::cli
