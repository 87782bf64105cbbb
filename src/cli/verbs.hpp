#pragma once
#include "cli/command.hpp"

namespace mendtone::cli {

// One a verb, each in a file of its own, in the order of a conservator's day.
void add_tone(CLI::App& program, Context& context);
void add_lamp(CLI::App& program, Context& context);
void add_difference(CLI::App& program, Context& context);
void add_tissue(CLI::App& program, Context& context);
void add_colorant(CLI::App& program, Context& context);
void add_swatch(CLI::App& program, Context& context);
void add_wash(CLI::App& program, Context& context);
void add_correct(CLI::App& program, Context& context);
void add_image(CLI::App& program, Context& context);
void add_record(CLI::App& program, Context& context);
void add_report(CLI::App& program, Context& context);

}  // namespace mendtone::cli
