#include "mendtone/app/wash/correct.hpp"

#include <memory>

#include "cli/operator.hpp"
#include "cli/verbs.hpp"

namespace mendtone::cli {

void add_correct(CLI::App& program, Context& context) {
  struct Options {
    Common common;
    KeepOptions keep;
    app::CorrectRequest request;
    std::vector<std::string> trials;
    int after_coat = 0;
    double dosing = -1, pick_up = -1, strength = -1;
  };
  const auto options = std::make_shared<Options>();
  CLI::App* verb = program.add_subcommand(
      "correct", "after a measured trial: one more coat for the sheet in hand, or a new mix");
  verb->add_option("RECIPE", options->request.recipe_file,
                   "what 'wash --format json' or 'correct --format json' wrote")
      ->required();
  verb->add_option("--recipe", options->request.recipe, "which of its recipes was laid down")
      ->capture_default_str();
  verb->add_option("--trial", options->trials, "readings of the dry trial")->required();
  verb->add_option("--after-coat", options->after_coat,
                   "the trial was read after this coat (default: all of them, or what its load "
                   "columns say)")
      ->check(above_0);
  const auto spread = [&](const char* name, double& value, const char* what) {
    verb->add_option(name, value, what)->check(at_least_0);
  };
  spread("--dosing-spread", options->dosing,
         "standard deviation of one colorant in one mix, per cent");
  spread("--pick-up-spread", options->pick_up, "of one sheet's pick-up, per cent");
  spread("--strength-spread", options->strength,
         "of a stock against its calibration, per cent (default 5)");
  add_common(*verb, options->common);
  add_keep_options(*verb, options->keep);
  verb->callback([options, &context] {
    context.run = [options] {
      app::CorrectRequest request = options->request;
      request.trials = options->common.sources(options->trials);
      if (options->after_coat > 0) request.after_coat = options->after_coat;
      if (options->dosing >= 0) request.dosing_sd = options->dosing / 100;
      if (options->pick_up >= 0) request.pick_up_sd = options->pick_up / 100;
      if (options->strength >= 0) request.strength_sd = options->strength / 100;
      return compute(app::correct, request, options->common, options->keep);
    };
  });
}

}  // namespace mendtone::cli
