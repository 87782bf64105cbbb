#include "mendtone/app/tone/lamp.hpp"

#include <map>
#include <memory>

#include "cli/verbs.hpp"

namespace mendtone::cli {

void add_lamp(CLI::App& program, Context& context) {
  struct Options {
    std::vector<std::string> lamps;
    std::string record;
    Format format = Format::text;
  };
  const auto options = std::make_shared<Options>();
  CLI::App* verb = program.add_subcommand(
      "lamp", "what light a lamp gives: chromaticity, colour temperature, power below 400 nm");
  verb->add_option("LAMP", options->lamps,
                   "a lamp file, FILE#LAMP for one of several, or a light's name")
      ->required();
  verb->add_option("--record", options->record, "the treatment record that keeps the lamp");
  verb->add_option("--format", options->format, "text, json or csv")
      ->transform(CLI::CheckedTransformer(std::map<std::string, Format>{
          {"text", Format::text}, {"json", Format::json}, {"csv", Format::csv}}));
  verb->callback([options, &context] {
    context.run = [options] {
      return deliver(app::lamp({options->lamps, options->record}), options->format);
    };
  });
}

}  // namespace mendtone::cli
