// The one place that knows both doors: the command line, and the page.
#include <malloc.h>
#include <unistd.h>

#include <csignal>
#include <iostream>

#include "bench/bench.hpp"
#include "cli/run.hpp"

namespace {

using mendtone::bench::BenchRequest;

void add_bench(CLI::App& program, mendtone::cli::Context& context) {
  const auto request = std::make_shared<BenchRequest>();
  CLI::App* verb =
      program.add_subcommand("bench", "opens the page on which the whole job can be done");
  verb->add_option("--record", request->record, "the treatment record")->required();
  verb->add_flag("--new", request->new_record, "a first start: makes the record");
  verb->add_option(
          "--port", request->port,
          "a port of this machine (default: the record's usual one, else any that is free)")
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

/// Rows of photographs are taken and given back band by band: memory that went back to the system
/// each time would have to be cleared anew each time, a tenth of a change map.
void keep_memory_at_hand() {
  ::mallopt(M_MMAP_THRESHOLD, 256 << 20);
  ::mallopt(M_TRIM_THRESHOLD, 512 << 20);
  ::mallopt(M_TOP_PAD, 64 << 20);
}

}  // namespace

int main(int argc, char** argv) {
  // A file that may not grow further is a failed write, which is said, not the end of the program.
  std::signal(SIGXFSZ, SIG_IGN);
  keep_memory_at_hand();
  const bool at_a_terminal = ::isatty(STDIN_FILENO) && ::isatty(STDERR_FILENO);
  return mendtone::cli::run(argc, argv, add_bench, at_a_terminal ? &std::cin : nullptr);
}
