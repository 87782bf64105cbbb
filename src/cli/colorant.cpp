#include "mendtone/app/wash/colorant.hpp"

#include <memory>

#include "cli/operator.hpp"
#include "cli/verbs.hpp"

namespace mendtone::cli {

void add_colorant(CLI::App& program, Context& context) {
  struct Options {
    Common common;
    KeepOptions keep;
    std::vector<std::string> files, indices;
    std::string application = "absorbed", out;
    int advise = 0;
  };
  const auto options = std::make_shared<Options>();
  CLI::App* verb = program.add_subcommand(
      "colorant", "calibrate colorants from ladders, mixtures and trials, in one joint fit");
  verb->add_option("READINGS", options->files,
                   "readings that carry loads, bare sheet, backings; with --record, 'trials' is "
                   "every trial in it")
      ->required();
  verb->add_option("--application", options->application,
                   "absorbed: taken up by the tissue; film: laid on top of it, or of any opaque "
                   "support")
      ->check(CLI::IsMember({"absorbed", "film"}))
      ->capture_default_str();
  verb->add_option("--out", options->out, "file to keep the palette in");
  verb->add_option("--colour-index", options->indices,
                   "Colour Index name of a colorant, as ochre=PY43; may be repeated")
      ->allow_extra_args(false);
  verb->add_option("--advise", options->advise,
                   "name so many swatches (1 if no number is given) that would teach the most")
      ->expected(0, 1)
      ->default_str("1")
      ->check(CLI::Range(1, 50));
  add_common(*verb, options->common);
  add_keep_options(*verb, options->keep);
  verb->callback([options, &context] {
    context.run = [options]() -> int {
      app::ColorantRequest request;
      request.sources = options->common.sources(options->files);
      request.application = *application_from(options->application);
      request.out = options->out;
      request.advise = options->advise;
      for (const std::string& index : options->indices) {
        const auto equals = index.find('=');
        if (equals == std::string::npos || equals == 0)
          return refuse(
              bad_request("expected COLORANT=INDEX, found '" + index + "'", "--colour-index"));
        request.colour_index[index.substr(0, equals)] = index.substr(equals + 1);
      }
      return compute(app::colorant, request, options->common, options->keep);
    };
  });
}

}  // namespace mendtone::cli
