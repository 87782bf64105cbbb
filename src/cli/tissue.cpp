#include "mendtone/app/tissue/tissue.hpp"

#include <memory>

#include "cli/operator.hpp"
#include "cli/verbs.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::cli {
namespace {

struct Options {
  Common common;
  KeepOptions keep;
  app::TissueRequest request;
  std::string plies = "1-4";
  std::vector<std::string> uses, leave_out;
  std::string side = "back", aim, interface, joint = "contact";
  double tolerance = 0, light_sheet_weight = -1;
  std::size_t top = 0;
};

/// "a" or "a,b" or "a,b,c" … as numbers; nothing where it is not that.
std::optional<std::vector<double>> numbers_in(const std::string& text, char between) {
  std::vector<double> numbers;
  std::size_t from = 0;
  while (from <= text.size()) {
    const std::size_t to = std::min(text.find(between, from), text.size());
    const auto number = parse_number(text.substr(from, to - from));
    if (!number) return std::nullopt;
    numbers.push_back(*number);
    from = to + 1;
  }
  return numbers;
}

Result<void> put_plies(const std::string& text, app::TissueQuestion& question) {
  const auto numbers = numbers_in(text, '-');
  const bool sound = numbers && numbers->size() <= 2 &&
                     std::all_of(numbers->begin(), numbers->end(), [](double n) {
                       return n >= 1 && n <= 100 && n == static_cast<int>(n);
                     });
  if (!sound) return bad_request("expected plies as in 2 or 1-4, found '" + text + "'", "--plies");
  question.fewest_plies = static_cast<int>(numbers->front());
  question.most_plies = static_cast<int>(numbers->back());
  return {};
}

Result<void> put_aim(const std::string& text, app::TissueQuestion& question) {
  const auto numbers = numbers_in(text, ',');
  if (!numbers || numbers->size() != 2)
    return bad_request(
        "expected an aim as dL,dC (1,-0.5: lighter by 1, duller by 0.5), found '" + text + "'",
        "--aim");
  question.aim_dL = numbers->front();
  question.aim_dC = numbers->back();
  return {};
}

Result<void> put_interface(const Options& options, Surfaces& surfaces) {
  surfaces.joint = options.joint == "air" ? Joint::air : Joint::contact;
  if (options.interface.empty()) return {};
  const auto numbers = numbers_in(options.interface, ',');
  const bool sound =
      numbers && numbers->size() == 3 &&
      std::all_of(numbers->begin(), numbers->end(), [](double k) { return k >= 0 && k < 1; });
  if (!sound)
    return bad_request("expected an interface as k1,ke,k2, each from 0 to below 1, found '" +
                           options.interface + "'",
                       "--interface");
  surfaces.interface = {(*numbers)[0], (*numbers)[1], (*numbers)[2]};
  return {};
}

Result<app::TissueRequest> request_from(const Options& options) {
  app::TissueRequest request = options.request;
  app::TissueQuestion& question = request.question;
  const app::Sources sources = options.common.sources({});
  request.scale = sources.scale;
  request.record = sources.record.record;
  question.viewing = options.common.viewing();
  if (const auto put = put_plies(options.plies, question); !put) return put.error();
  if (!options.aim.empty())
    if (const auto put = put_aim(options.aim, question); !put) return put.error();
  if (const auto put = put_interface(options, request.surfaces); !put) return put.error();
  if (!options.uses.empty()) question.uses.clear();
  for (const std::string& use : options.uses) question.uses.push_back(*use_from(use));
  for (const std::string& filter : options.leave_out)
    question.leave_out.push_back(*app::leave_out_from(filter));
  question.side = *side_from(options.side);
  if (options.tolerance != 0) {
    question.tolerance_de00 = options.tolerance;
    question.tolerance_is_default = false;
  }
  if (options.light_sheet_weight >= 0) question.weights.light_sheet = options.light_sheet_weight;
  if (options.top > 0) question.top = options.top;
  return request;
}

void add_inputs(CLI::App& verb, Options& options) {
  app::TissueRequest& request = options.request;
  verb.add_option("--for", request.target,
                  "the sheet to match: a file of readings, or a name among the readings of --from")
      ->required();
  verb.add_option("--spot", request.target_name, "which sheet, where the file holds several");
  verb.add_option("--from", request.tissues, "files with the tissues and their backings")
      ->required();
  verb.add_option("--over", request.over,
                  "what lies behind when it is shown: the name of a backing that was read, a file "
                  "with one reading, or black or white as a nominal one")
      ->required();
}

void add_question(CLI::App& verb, Options& options) {
  app::TissueQuestion& question = options.request.question;
  verb.add_option("--plies", options.plies, "how many plies to try: 2, or 1-4")
      ->capture_default_str();
  verb.add_option("--use", options.uses, "loss (default), tear or lining; may be repeated")
      ->check(CLI::IsMember({"loss", "tear", "lining"}))
      ->allow_extra_args(false);
  verb.add_option("--side", options.side, "where the tissue lies on the sheet: back or front")
      ->check(CLI::IsMember({"back", "front"}))
      ->capture_default_str();
  verb.add_option("--light-sheet", question.light_sheet, "the light of the light sheet")
      ->capture_default_str();
  verb.add_option("--light-sheet-weight", options.light_sheet_weight,
                  "what DeltaE00 on the light sheet counts in the score (default 0.05)")
      ->check(at_least_0);
  verb.add_option("--tolerance", options.tolerance, "DeltaE00 that counts as a match (default 1.8)")
      ->check(above_0);
  verb.add_option("--aim", options.aim,
                  "offset from the sheet as dL,dC: 1,-0.5 aims lighter and duller");
  verb.add_option(
          "--leave-out", options.leave_out,
          "leave out what is darker or heavier than the sheet, or bleeding when pasted; may "
          "be repeated")
      ->check(CLI::IsMember({"darker", "heavier", "bleeding"}))
      ->allow_extra_args(false);
  verb.add_option("--top", options.top, "only the best so many (default: all)")->check(above_0);
  verb.add_option("--trials", question.trials,
                  "draws for the probability of being nearest; 0: none")
      ->check(at_least_0)
      ->capture_default_str();
  verb.add_option("--seed", question.seed, "of those draws")->capture_default_str();
  verb.add_option("--interface", options.interface,
                  "surface correction of every ply and the sheet as k1,ke,k2 (default: none)");
  verb.add_option("--between", options.joint, "with --interface: plies in contact, or air between")
      ->check(CLI::IsMember({"contact", "air"}))
      ->capture_default_str();
}

}  // namespace

void add_tissue(CLI::App& program, Context& context) {
  const auto options = std::make_shared<Options>();
  CLI::App* verb =
      program.add_subcommand("tissue", "ranks a drawer of tissues for a loss, a tear or a lining");
  add_inputs(*verb, *options);
  add_question(*verb, *options);
  add_common(*verb, options->common);
  add_keep_options(*verb, options->keep);
  verb->callback([options, &context] {
    context.run = [options] {
      const auto request = request_from(*options);
      if (!request) return refuse(request.error());
      return compute(app::tissue, *request, options->common, options->keep);
    };
  });
}

}  // namespace mendtone::cli
