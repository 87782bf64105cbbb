#include "mendtone/app/tone.hpp"

#include <memory>

#include "cli/verbs.hpp"

namespace mendtone::cli {

void add_tone(CLI::App& program, Context& context) {
  struct Options {
    Common common;
    std::vector<std::string> files;
  };
  const auto options = std::make_shared<Options>();
  CLI::App* verb = program.add_subcommand(
      "tone", "readings to tone: mean of repeats, spread, repeats that stand apart");
  verb->add_option("FILE", options->files, "readings")->required();
  add_common(*verb, options->common);
  verb->callback([options, &context] {
    context.run = [options] {
      return deliver(
          app::tone({options->common.sources(options->files), options->common.viewing()}),
          options->common.format);
    };
  });
}

}  // namespace mendtone::cli
