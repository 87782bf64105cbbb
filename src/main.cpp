// The one place that knows both doors: the command line, and the page.
#include "bench/bench.hpp"
#include "cli/run.hpp"

namespace {

using mendtone::bench::BenchRequest;

void add_bench(CLI::App& program, mendtone::cli::Context& context) {
  const auto request = std::make_shared<BenchRequest>();
  CLI::App* verb =
      program.add_subcommand("bench", "opens the page on which the whole job can be done");
  verb->add_option("--record", request->record, "the treatment record; made if it is not there")
      ->required();
  verb->add_option("--port", request->port, "a port of this machine (default: any that is free)")
      ->check(CLI::Range(1, 65535));
  verb->add_flag("--no-browser", request->no_browser, "print the address, open nothing");
  verb->callback([request, &context] {
    context.run = [request] {
      request->program = std::string("mendtone ") + MENDTONE_VERSION;
      const auto done = mendtone::bench::bench(*request);
      return done ? int{mendtone::cli::done} : mendtone::cli::refuse(done.error());
    };
  });
}

}  // namespace

int main(int argc, char** argv) {
  return mendtone::cli::run(argc, argv, add_bench);
}
