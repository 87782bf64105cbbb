#pragma once
#include "cli/command.hpp"
#include "mendtone/app/verb.hpp"

namespace mendtone::cli {

// One a verb, each in a file of its own, in the order of a conservator's day.
/// A verb of the list: its options are the fields of its request.
void add_verb(CLI::App& program, Context& context, const app::Verb& verb);
int deliver(const app::Verb& verb, const results::Value& answer, Format format);
/// `mendtone schema VERB`.
void add_schema(CLI::App& program, Context& context);
void add_record(CLI::App& program, Context& context);
void add_report(CLI::App& program, Context& context);

}  // namespace mendtone::cli
