#include "cli/run.hpp"

#include "cli/verbs.hpp"

namespace {

/// CLI11's own codes are many; ours is one: the command line was wrong.
int usage(const CLI::App& program, const CLI::ParseError& error) {
  const int code = program.exit(error, std::cout, std::cerr);
  return code == 0 ? mendtone::cli::done : mendtone::cli::bad_command;
}

}  // namespace

namespace mendtone::cli {

int run(int argc, char** argv, const AddVerb& more, std::istream* person) {
  CLI::App program("mendtone: the colour bench of a paper conservator");
  program.set_version_flag("--version", MENDTONE_VERSION);
  program.require_subcommand(1);
  Context context;
  context.person = person;
  for (const app::Verb& verb : app::verbs()) add_verb(program, context, verb);
  add_record(program, context);
  add_report(program, context);
  add_schema(program, context);
  more(program, context);
  try {
    program.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    return usage(program, error);
  }
  return context.run();
}

}  // namespace mendtone::cli
