#include "mendtone/app/report/report.hpp"

#include <ctime>
#include <memory>

#include "cli/verbs.hpp"
#include "mendtone/app/inputs/outputs.hpp"

namespace mendtone::cli {
namespace {

/// The one clock of this verb; everything below takes the date as a value.
std::string today() {
  const std::time_t now = std::time(nullptr);
  std::tm local{};
  localtime_r(&now, &local);
  char text[16];
  std::strftime(text, sizeof text, "%Y-%m-%d", &local);
  return text;
}

/// NAME=VALUE in two.
Result<std::pair<std::string, std::string>> parted(const std::string& text, const char* option,
                                                   const char* form) {
  const auto at = text.find('=');
  if (at == std::string::npos || at == 0 || at + 1 == text.size())
    return bad_request(std::string("expected ") + form + ", found '" + text + "'", option);
  return std::pair{text.substr(0, at), text.substr(at + 1)};
}

struct Options {
  Common common;
  app::ReportRequest request;
  std::vector<std::string> readings, refused;
  bool force = false;
  bool methods = false;  ///< only the paragraph and the lines, to be printed
};

/// What the report is made from, and where it goes.
app::Outputs outputs_of(const app::ReportRequest& request, bool force) {
  app::Outputs outputs;
  for (const std::string& path : app::report_files(request.folder))
    outputs.files.push_back({"--out", path});
  outputs.read = request.results;
  for (const auto& [stage, file] : request.readings) outputs.read.push_back(file);
  outputs.read.insert(outputs.read.end(), request.pictures.begin(), request.pictures.end());
  outputs.record = request.record;
  outputs.force = force;
  return outputs;
}

/// The request as it was typed, whole.
Result<app::ReportRequest> request_of(Options options) {
  app::ReportRequest& request = options.request;
  for (const std::string& text : options.readings) {
    auto part = parted(text, "--readings", "STAGE=FILE");
    if (!part) return part.error();
    request.readings.push_back(*std::move(part));
  }
  for (const std::string& text : options.refused) {
    auto part = parted(text, "--refuse", "TISSUE=REASON");
    if (!part) return part.error();
    request.refused.insert(*std::move(part));
  }
  request.viewing = options.common.viewing();
  request.lamps = options.common.record;
  request.record = options.common.record;
  request.program_version = std::string("mendtone ") + MENDTONE_VERSION;
  if (request.date.empty()) request.date = today();
  return request;
}

Result<app::ReportAnswer> run(const Options& options) {
  const auto request = request_of(options);
  if (!request) return request.error();
  if (auto free = app::may_write(outputs_of(*request, options.force)); !free) return free.error();
  return app::report(*request);
}

Result<app::MethodsAnswer> run_methods(const Options& options) {
  const auto request = request_of(options);
  if (!request) return request.error();
  return app::report_methods(*request);
}

}  // namespace

void add_report(CLI::App& program, Context& context) {
  const auto options = std::make_shared<Options>();
  app::ReportRequest& r = options->request;
  CLI::App* verb = program.add_subcommand(
      "report", "HTML, PDF, CSV and JSON of one treatment: the first page, each fill, an annex");
  verb->add_option("--sheet", r.sheet, "the sheet of the record: its name or object identifier");
  verb->add_option("--from", r.results,
                   "a result as JSON (tone, difference, tissue, wash, correct, image change); may "
                   "be repeated")
      ->allow_extra_args(false);
  verb->add_option("--readings", options->readings,
                   "STAGE=FILE, such as before=readings.csv: tones and spectra of that stage; may "
                   "be repeated")
      ->allow_extra_args(false);
  verb->add_option("--picture", r.pictures,
                   "a photograph to show, the first being the sheet; may be repeated")
      ->allow_extra_args(false);
  verb->add_option("--choose", r.chosen, "the fill that was taken: TISSUE or TISSUE:PLIES");
  verb->add_option("--refuse", options->refused,
                   "TISSUE=REASON: a fill that was not taken, and why")
      ->allow_extra_args(false);
  verb->add_option("--title", r.title, "the report's title");
  verb->add_option("--object", r.object_id, "the object's identifier");
  verb->add_option("--description", r.description, "what the object is");
  verb->add_option("--laboratory", r.laboratory, "where it was treated");
  verb->add_option("--by", r.operator_name, "who treated it");
  verb->add_option("--note", r.notes, "what was done, a paragraph each; may be repeated")
      ->allow_extra_args(false);
  verb->add_option("--notice", r.notice, "a notice for every page, such as 'invented data'");
  verb->add_option("--date", r.date, "of the report, YYYY-MM-DD; default today");
  verb->add_option("--fills", r.most_fills, "how many ranked fills to list")->capture_default_str();
  auto* out = verb->add_option("--out", r.folder, "the folder to write into");
  verb->add_flag(
          "--methods", options->methods,
          "print only the methods paragraph and a line for each loss and each change, to paste "
          "into another form (--format csv: the lines as a table)")
      ->excludes(out);
  add_force(*verb, options->force);
  add_common(*verb, options->common);
  verb->callback([options, &context] {
    context.run = [options] {
      return options->methods ? deliver(run_methods(*options), options->common.format)
                              : deliver(run(*options), options->common.format);
    };
  });
}

}  // namespace mendtone::cli
