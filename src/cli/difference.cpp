#include "mendtone/app/tone/difference.hpp"

#include <memory>

#include "cli/operator.hpp"
#include "cli/verbs.hpp"

namespace mendtone::cli {
namespace {

struct Options {
  Common common;
  KeepOptions keep;
  std::string before, after;
  ChangeSettings settings;
  bool brightener = false;
};

app::DifferenceRequest request_of(const Options& options) {
  return {options.common.sources({options.before}), options.common.sources({options.after}),
          options.common.viewing(), options.settings, options.brightener};
}

}  // namespace

void add_difference(CLI::App& program, Context& context) {
  const auto options = std::make_shared<Options>();
  ChangeSettings& settings = options->settings;
  CLI::App* verb = program.add_subcommand(
      "difference", "what changed between two sets of readings, and whether it can be believed");
  verb->add_option("BEFORE", options->before, "readings before")->required();
  verb->add_option("AFTER", options->after, "readings after")->required();
  add_common(*verb, options->common);
  add_keep_options(*verb, options->keep);
  verb->add_option("--tolerance", settings.tolerance_de00, "the change that is allowed, DeltaE00")
      ->check(above_0)
      ->capture_default_str();
  verb->add_option("--kL", settings.factors.kL, "CIEDE2000's factor of lightness")
      ->check(above_0)
      ->capture_default_str();
  verb->add_option("--kC", settings.factors.kC, "CIEDE2000's factor of chroma")
      ->check(above_0)
      ->capture_default_str();
  verb->add_option("--kH", settings.factors.kH, "CIEDE2000's factor of hue")
      ->check(above_0)
      ->capture_default_str();
  verb->add_option("--reproducibility", settings.reproducibility_de00,
                   "mean DeltaE00 of the instrument between two sessions, from its certificate")
      ->check(at_least_0)
      ->capture_default_str();
  verb->add_option("--reseating", settings.reseating_de00,
                   "mean DeltaE00 between two seatings, where repeats were taken without lifting")
      ->check(at_least_0)
      ->capture_default_str();
  verb->add_option("--single-reading", settings.single_reading_de00,
                   "mean DeltaE00 between two readings of one spot, used where each side is one "
                   "reading")
      ->check(above_0)
      ->capture_default_str();
  verb->add_flag("--brightener", options->brightener,
                 "look for a brightener in names read under M1 in one file and M2 in the other");
  verb->callback([options, &context] {
    context.run = [options] {
      return compute(app::difference, request_of(*options), options->common, options->keep);
    };
  });
}

}  // namespace mendtone::cli
