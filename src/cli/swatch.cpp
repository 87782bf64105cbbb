#include "mendtone/app/wash/swatch.hpp"

#include <filesystem>
#include <memory>

#include "cli/operator.hpp"
#include "cli/verbs.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::cli {

void add_swatch(CLI::App& program, Context& context) {
  struct Options {
    Common common;
    KeepOptions keep;
    std::string loads_file, palette, over, light_sheet = "D65";
    std::vector<std::string> loads, on;
    int plies = 1;
    double pick_up_spread = -1;
  };
  const auto options = std::make_shared<Options>();
  CLI::App* verb =
      program.add_subcommand("swatch", "what a given mixture would give, and how surely");
  verb->add_option("LOADS", options->loads_file, "mixtures: name and load:<colorant> columns");
  verb->add_option("--load", options->loads, "a colorant's load, as ochre=0.4; may be repeated")
      ->allow_extra_args(false);
  verb->add_option("--from", options->palette, "the palette that 'colorant --out' kept")
      ->required();
  verb->add_option("--on", options->on,
                   "readings of the tissue to be toned and of backings; else the palette's own")
      ->allow_extra_args(false);
  verb->add_option("--over", options->over, "what lies behind: a backing's name");
  verb->add_option("--plies", options->plies, "plies of toned tissue")
      ->check(CLI::Range(1, 8))
      ->capture_default_str();
  verb->add_option("--light-sheet", options->light_sheet, "lamp of the light sheet")
      ->capture_default_str();
  verb->add_option("--pick-up-spread", options->pick_up_spread,
                   "relative spread of the pick-up, as measured (0.05: 5 %)")
      ->check(CLI::Range(0.0, 1.0));
  add_common(*verb, options->common);
  add_keep_options(*verb, options->keep);
  verb->callback([options, &context] {
    context.run = [options]() -> int {
      app::SwatchRequest request;
      request.palette = options->palette;
      request.loads_file = options->loads_file;
      // The palette's own tissue may be named instead of a file of its readings.
      std::vector<std::string> files;
      for (const std::string& on : options->on)
        if (std::filesystem::exists(on))
          files.push_back(on);
        else
          request.on_name = on;
      request.on = options->common.sources(files);
      request.over = options->over;
      request.plies = options->plies;
      request.viewing = options->common.viewing();
      request.light_sheet = options->light_sheet;
      if (options->pick_up_spread >= 0) request.pick_up_sd = options->pick_up_spread;
      for (const std::string& load : options->loads) {
        const auto equals = load.find('=');
        const auto value =
            equals == std::string::npos ? std::nullopt : parse_number(load.substr(equals + 1));
        if (!value)
          return refuse(bad_request("expected COLORANT=LOAD, found '" + load + "'", "--load"));
        request.loads[load.substr(0, equals)] = *value;
      }
      return compute(app::swatch, request, options->common, options->keep);
    };
  });
}

}  // namespace mendtone::cli
