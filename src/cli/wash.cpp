#include "mendtone/app/wash/wash.hpp"

#include <memory>
#include <thread>

#include "cli/operator.hpp"
#include "cli/verbs.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::cli {
namespace {

struct Options {
  Common common;
  KeepOptions keep;
  app::WashRequest request;
  std::string use = "loss", side = "back", method, application, aim;
  std::vector<std::string> exclude, max_load;
  std::vector<double> let_down;
  double tolerance = 0, pick_up = 0, volume = 0, lay = 0, area = 0, pick_up_percent = 5;
};

Result<void> put_aim(const std::string& text, app::WashRequest& request) {
  if (text.empty()) return {};
  const std::size_t comma = text.find(',');
  const auto dL = parse_number(text.substr(0, comma));
  const auto dC = comma == std::string::npos ? std::nullopt : parse_number(text.substr(comma + 1));
  if (!dL || !dC)
    return bad_request(
        "expected an aim as dL,dC (1,-0.5: lighter by 1, duller by 0.5), found '" + text + "'",
        "--aim");
  request.aim_dL = *dL;
  request.aim_dC = *dC;
  return {};
}

Result<void> put_limits(const Options& options, app::WashRequest& request) {
  for (const std::string& text : options.exclude) {
    const std::size_t equals = text.find('=');
    if (equals == std::string::npos || equals == 0 || equals + 1 == text.size())
      return bad_request("expected NAME=REASON, found '" + text + "'", "--exclude");
    request.exclude.emplace_back(text.substr(0, equals), text.substr(equals + 1));
  }
  for (const std::string& text : options.max_load) {
    const std::size_t equals = text.find('=');
    const std::string name = equals == std::string::npos ? "" : text.substr(0, equals);
    const auto load = parse_number(equals == std::string::npos ? text : text.substr(equals + 1));
    if (!load || *load < 0)
      return bad_request("expected NAME=LOAD, or LOAD for all, found '" + text + "'", "--max-load");
    request.max_load.emplace_back(name, *load);
  }
  return {};
}

Result<app::WashRequest> request_from(const Options& options) {
  app::WashRequest request = options.request;
  const app::Sources sources = options.common.sources({});
  request.scale = sources.scale;
  request.record = sources.record;
  request.viewing = options.common.viewing();
  request.use = *use_from(options.use);
  request.side = *side_from(options.side);
  if (!options.method.empty())
    request.method = options.method == "brush" ? Method::brush : Method::bath;
  if (!options.application.empty()) request.application = application_from(options.application);
  if (const auto put = put_aim(options.aim, request); !put) return put.error();
  if (const auto put = put_limits(options, request); !put) return put.error();
  if (options.tolerance > 0) {
    request.tolerance_de00 = options.tolerance;
    request.tolerance_is_default = false;
  }
  if (options.pick_up > 0) request.pick_up_ml_m2 = options.pick_up;
  if (options.volume > 0) request.volume_ml = options.volume;
  if (options.lay > 0) request.laid_ml = options.lay;
  if (options.area > 0) request.area_m2 = options.area;
  request.pick_up_sd = options.pick_up_percent / 100;
  request.let_down = options.let_down;
  if (request.threads == 0)
    request.threads = static_cast<int>(std::max(1u, std::thread::hardware_concurrency()));
  return request;
}

void add_inputs(CLI::App& verb, Options& o) {
  app::WashRequest& r = o.request;
  verb.add_option("--for", r.target, "the sheet to match: readings, or a name in the record")
      ->required();
  verb.add_option("--backings", r.backings,
                  "files in which the backings were read, if not in the others");
  verb.add_option("--spot", r.target_name, "which sheet, where there are several");
  verb.add_option(
          "--on", r.on,
          "the tissue to tone: readings, or the name that the colorants were calibrated on; "
          "with colorants calibrated as a film: readings of the fill in place")
      ->required();
  verb.add_option("--tissue", r.on_name, "which tissue, where there are several");
  verb.add_option("--from", r.palette, "the calibrated colorants: what 'colorant --out' wrote")
      ->required();
  verb.add_option(
      "--over", r.over,
      "what lies behind when it is shown: a backing's name (a film needs none where its "
      "fill was read over one thing only)");
}

void add_search(CLI::App& verb, Options& o) {
  app::WashRequest& r = o.request;
  verb.add_option("--plies", r.plies, "plies of it, all toned alike (not for a film)")
      ->check(CLI::Range(1, 8))
      ->capture_default_str();
  verb.add_option("--use", o.use, "loss, tear or lining")
      ->check(CLI::IsMember({"loss", "tear", "lining"}))
      ->capture_default_str();
  verb.add_option("--side", o.side, "where the tissue lies on the sheet: back or front")
      ->check(CLI::IsMember({"back", "front"}))
      ->capture_default_str();
  verb.add_option("--application", o.application,
                  "absorbed (toning) or film (retouching); by default the calibration's")
      ->check(CLI::IsMember({"absorbed", "film"}));
  verb.add_option("--at-most", r.at_most, "colorants in one recipe")
      ->check(CLI::Range(1, 4))
      ->capture_default_str();
  verb.add_option("--top", r.top, "only the best so many")
      ->check(CLI::Range(1, 1000))
      ->capture_default_str();
  verb.add_option("--exclude", o.exclude, "NAME=REASON: a colorant that is not to be used, and why")
      ->allow_extra_args(false);
  verb.add_option("--max-load", o.max_load,
                  "NAME=LOAD, or LOAD for all: the highest load (default: as calibrated)")
      ->allow_extra_args(false);
  verb.add_option("--aim", o.aim, "offset from the sheet as dL,dC: 1,-0.5 aims lighter and duller");
  verb.add_option("--tolerance", o.tolerance, "DeltaE00 that counts as a match (default 1.8)")
      ->check(above_0);
  verb.add_option("--light-sheet", r.light_sheet, "the light of the light sheet")
      ->capture_default_str();
  verb.add_option("--threads", r.threads, "cores to use; 0: all. The answer is the same")
      ->check(at_least_0)
      ->capture_default_str();
  const auto weight = [&](const char* name, double& value, const char* what) {
    verb.add_option(name, value, what)->check(at_least_0)->capture_default_str();
  };
  weight("--weigh-viewing", r.weights.viewing, "weight of the viewing light in the order");
  weight("--weigh-worst", r.weights.worst, "weight of the worst light in the order");
  weight("--weigh-light-sheet", r.weights.transmitted, "weight of the light sheet in the order");
  weight("--weigh-colorants", r.weights.colorants, "weight of each colorant in the order");
  weight("--weigh-load", r.weights.load, "weight of the loads in the order");
}

void add_dispensing(CLI::App& verb, Options& o) {
  app::WashRequest& r = o.request;
  verb.add_option("--stock", r.stocks, "stock file: strengths and calibrated droppers");
  verb.add_option("--method", o.method, "bath (default) or brush; a film is always brushed")
      ->check(CLI::IsMember({"bath", "brush"}));
  verb.add_option("--pick-up", o.pick_up,
                  "ml that 1 m2 of this tissue takes up in one dip: wet minus dry weight over area")
      ->check(above_0);
  verb.add_option("--pick-up-spread", o.pick_up_percent,
                  "its standard deviation from sheet to sheet, per cent")
      ->check(at_least_0)
      ->capture_default_str();
  verb.add_option("--volume", o.volume, "ml to make up")->check(above_0);
  verb.add_option("--lay", o.lay,
                  "with brush: ml of it that are laid down, all coats (weigh the dish before and "
                  "after); default: the whole volume")
      ->check(above_0);
  verb.add_option("--area", o.area, "m2 of one sheet")->check(above_0);
  verb.add_option("--sheets", r.sheets, "sheets from one volume")
      ->check(above_0)
      ->capture_default_str();
  verb.add_option("--coats", r.coats, "equal coats (or dips) that make up the load")
      ->check(CLI::Range(1, 20))
      ->capture_default_str();
  verb.add_option("--tray", r.tray_ml, "ml that the tray needs to be covered")
      ->check(at_least_0)
      ->capture_default_str();
  verb.add_option("--let-down", o.let_down,
                  "strengths of the same bath for paler sheets, as in 0.75,0.5,0.25")
      ->delimiter(',')
      ->check(above_0);
  verb.add_option("--gaps", r.gaps, "readings of the tones that the drawer lacks");
}

}  // namespace

void add_wash(CLI::App& program, Context& context) {
  const auto options = std::make_shared<Options>();
  CLI::App* verb = program.add_subcommand(
      "wash", "recipes that tone a tissue to a sheet, in drops and coats; or a retouching film");
  add_inputs(*verb, *options);
  add_search(*verb, *options);
  add_dispensing(*verb, *options);
  add_common(*verb, options->common);
  add_keep_options(*verb, options->keep);
  verb->callback([options, &context] {
    context.run = [options] {
      const auto request = request_from(*options);
      if (!request) return refuse(request.error());
      return compute(app::wash, *request, options->common, options->keep);
    };
  });
}

}  // namespace mendtone::cli
