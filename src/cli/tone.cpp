#include "mendtone/app/tone/tone.hpp"

#include <memory>

#include "cli/operator.hpp"
#include "cli/verbs.hpp"

namespace mendtone::cli {

void add_tone(CLI::App& program, Context& context) {
  struct Options {
    Common common;
    KeepOptions keep;
    std::vector<std::string> files;
  };
  const auto options = std::make_shared<Options>();
  CLI::App* verb = program.add_subcommand(
      "tone", "readings to tone: mean of repeats, spread, repeats that stand apart");
  verb->add_option("FILE", options->files, "readings")->required();
  add_common(*verb, options->common);
  add_keep_options(*verb, options->keep);
  verb->callback([options, &context] {
    context.run = [options] {
      return compute(app::tone,
                     {options->common.sources(options->files), options->common.viewing()},
                     options->common, options->keep);
    };
  });
}

}  // namespace mendtone::cli
