#include "mendtone/app/report/report.hpp"

#include <algorithm>
#include <filesystem>

#include "app/inputs/json.hpp"
#include "app/inputs/text.hpp"
#include "app/report/report_parts.hpp"
#include "mendtone/adapters/files.hpp"
#include "mendtone/adapters/pdf.hpp"
#include "mendtone/adapters/screen_colour.hpp"
#include "mendtone/app/inputs/inputs.hpp"
#include "mendtone/app/inputs/readings.hpp"
#include "mendtone/base/near_names.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/repeats.hpp"
#include "mendtone/report/write.hpp"

namespace mendtone::app {
namespace {

using report::ReportContent;
using report::Tone;

/// Gives every tone of a report its screen colour; whites are looked up once.
class Colouring {
 public:
  explicit Colouring(const ScreenColours& colours) : colours_(colours) {}

  void operator()(Tone& tone) {
    const std::optional<Xyz>& white = white_of(tone.light, tone.observer_deg);
    if (white) tone.screen = colours_.of(tone.lab, *white);
  }
  void operator()(std::optional<Tone>& tone) {
    if (tone) (*this)(*tone);
  }

 private:
  const std::optional<Xyz>& white_of(const std::string& light, int observer_deg) {
    const auto [at, made] = whites_.try_emplace({light, observer_deg});
    if (!made) return at->second;
    const auto observer = observer_from_degrees(observer_deg);
    const auto standard = standard_light(light);
    if (!observer || !standard) return at->second;
    if (const auto white = white_point(*standard, *observer)) at->second = *white;
    return at->second;
  }

  const ScreenColours& colours_;
  std::map<std::pair<std::string, int>, std::optional<Xyz>> whites_;
};

Result<void> colour_in(ReportContent& content) {
  auto colours = ScreenColours::open();
  if (!colours) return colours.error();
  Colouring colouring(*colours);
  for (auto& reading : content.readings) colouring(reading.tone);
  for (auto& fill : content.fills) {
    colouring(fill.tone);
    colouring(fill.sheet);
    colouring(fill.measured);
    colouring(fill.aim);
  }
  for (auto& card : content.recipes) {
    colouring(card.tone);
    colouring(card.sheet);
    colouring(card.aim);
    colouring(card.whole_drops);
    for (auto& coat : card.coats) colouring(coat.tone);
  }
  for (auto& trial : content.trials) {
    colouring(trial.predicted);
    colouring(trial.measured);
  }
  return {};
}

void set_words(ReportContent& content, const ReportRequest& request) {
  const auto set = [](std::string& to, const std::string& from) {
    if (!from.empty()) to = from;
  };
  set(content.title, request.title);
  set(content.object_id, request.object_id);
  set(content.object_description, request.description);
  set(content.laboratory, request.laboratory);
  set(content.operator_name, request.operator_name);
  set(content.date, request.date);
  set(content.data_notice, request.notice);
  set(content.program_version, request.program_version);
  for (const std::string& note : request.notes) content.notes.push_back({"", note});
}

bool says_nothing(const ReportContent& content) {
  return content.readings.empty() && content.differences.empty() && content.fills.empty() &&
         content.recipes.empty() && content.trials.empty() && content.pictures.empty() &&
         content.notes.empty() && content.entered.empty();
}

/// A choice or a refusal that names no fill of the results would be lost unsaid.
Result<void> check_named_fills(const ReportContent& content, const ReportRequest& request) {
  std::vector<std::string> names;
  for (const report::Fill& fill : content.fills)
    names.push_back(fill.name + ":" + std::to_string(fill.plies));
  const auto check = [&](const std::string& wanted, const char* option) -> Result<void> {
    const auto is_it = [&](const report::Fill& fill) { return is_named(fill, wanted); };
    if (std::any_of(content.fills.begin(), content.fills.end(), is_it)) return {};
    const auto near = near_names(wanted, names);
    return bad_request(
        std::string("no fill of the results is called this") +
            (near.empty() ? "; there are " + std::to_string(names.size()) + " fills"
                          : "; near it: " + listed(near)) +
            (request.record.empty() ? "" : ". What a record holds is decided in the record"),
        std::string(option) + " " + wanted);
  };
  if (!request.chosen.empty())
    if (auto found = check(request.chosen, "--choose"); !found) return found;
  for (const auto& [name, why] : request.refused)
    if (auto found = check(name, "--refuse"); !found) return found;
  return {};
}

Result<void> gather_files(ReportContent& content, const ReportRequest& request,
                          const Viewing& lights) {
  for (const std::string& file : request.results) {
    auto bytes = input_bytes(file, request.record);
    if (!bytes) return bytes.error();
    if (auto added = add_result(content, *bytes, file, request); !added) return added.error();
    content.sources.push_back(std::filesystem::path(file).filename().string());
  }
  for (const auto& [stage, file] : request.readings) {
    const auto read = load({{file}, std::nullopt}, request.record);
    if (!read) return read.error();
    if (auto added = add_readings(content, *read, stage, lights); !added)
      return bad_input(added.error().message, file);
    content.sources.push_back(std::filesystem::path(file).filename().string() + ", read " + stage);
  }
  bool first = true;
  for (const std::string& file : request.pictures) {
    add_picture(content, file, first ? "sheet" : "evidence",
                std::filesystem::path(file).stem().string(), "");
    first = false;
  }
  return {};
}

Result<void> make_folder(const std::string& folder) {
  std::error_code failed;
  std::filesystem::create_directories(folder, failed);
  if (failed) return outside_world("cannot make the folder: " + failed.message(), folder);
  return {};
}

}  // namespace

Result<ReportContent> report_content(const ReportRequest& request) {
  const auto lights = viewing(request.viewing, {"D65"}, request.lamps);
  if (!lights) return lights.error();
  ReportContent content;
  if (!request.record.empty() || !request.sheet.empty()) {
    if (request.record.empty() || request.sheet.empty())
      return bad_request("a report from a record needs --record FILE and --sheet NAME");
    auto added = add_record(content, request.record, request.sheet, *lights, request);
    if (!added) return added.error();
  }
  if (auto gathered = gather_files(content, request, *lights); !gathered) return gathered.error();
  if (auto named = check_named_fills(content, request); !named) return named.error();
  set_words(content, request);
  if (says_nothing(content))
    return bad_request(
        "there is nothing to report: name a record and a sheet, or results with "
        "--from, or readings with --readings");
  if (auto coloured = colour_in(content); !coloured) return coloured.error();
  return content;
}

std::vector<std::string> report_files(const std::string& folder) {
  std::vector<std::string> files;
  for (const char* name : {"report.html", "report.pdf", "report.csv", "report.json"})
    files.push_back((std::filesystem::path(folder) / name).string());
  return files;
}

Result<ReportAnswer> report(const ReportRequest& request) {
  if (request.folder.empty()) return bad_request("say where the report is to go", "--out");
  const auto content = report_content(request);
  if (!content) return content.error();
  const auto fonts = ReportFonts::open();
  if (!fonts) return fonts.error();
  const report::PagedReport pages = report::to_pages(*content, **fonts);
  const auto pdf = to_pdf(pages, **fonts);
  if (!pdf) return pdf.error();
  if (auto made = make_folder(request.folder); !made) return made.error();
  ReportAnswer answer;
  const std::string bytes[] = {report::to_html(*content), *pdf, report::to_csv(*content),
                               report::to_json(*content)};
  answer.files = report_files(request.folder);
  for (std::size_t i = 0; i < answer.files.size(); ++i)
    if (auto written = write_file(answer.files[i], bytes[i]); !written) return written.error();
  answer.pages = pages.pages.size();
  answer.readings = content->readings.size();
  answer.differences = content->differences.size();
  answer.fills = content->fills.size();
  answer.recipes = content->recipes.size();
  answer.trials = content->trials.size();
  answer.pictures = content->pictures.size();
  answer.not_shown = content->unknowns;
  return answer;
}

Result<MethodsAnswer> report_methods(const ReportRequest& request) {
  const auto content = report_content(request);
  if (!content) return content.error();
  return MethodsAnswer{report::methods_text(*content), report::outcomes(*content)};
}

std::string to_text(const MethodsAnswer& answer) {
  std::string text = answer.methods + "\n";
  for (const report::Outcome& one : answer.outcomes) {
    text += "\n" + (one.what.empty() ? "the fill" : one.what) + ": " + one.done;
    if (!one.de00) continue;
    text +=
        (text.back() == '.' ? " " : ". ") + std::string("Colour difference ") + fixed(*one.de00, 2);
    if (one.low && one.high)
      text += " (" + fixed(*one.low, 2) + " to " + fixed(*one.high, 2) + ", 95 %)";
    text += " CIEDE2000, " + one.basis + ", " + one.light + ", " +
            std::to_string(one.observer_deg) + " degrees; " + one.words + ".";
  }
  return text + "\n";
}

std::string to_json(const MethodsAnswer& answer) {
  Json json = document("report-methods");
  json["methods"] = answer.methods;
  json["outcomes"] = Json::array();
  for (const report::Outcome& one : answer.outcomes) {
    Json row{{"what", one.what}, {"done", one.done}, {"basis", one.basis}, {"words", one.words}};
    const auto put = [&](const char* key, const std::optional<double>& value) {
      row[key] = value ? Json(*value) : Json();
    };
    put("de00", one.de00);
    put("low", one.low);
    put("high", one.high);
    row["light"] = one.light;
    row["observer"] = one.observer_deg;
    json["outcomes"].push_back(std::move(row));
  }
  return written(json);
}

std::string to_csv(const MethodsAnswer& answer) {
  std::string text =
      csv_line({"what", "done", "basis", "de00", "low95", "high95", "light", "observer", "words"});
  const auto cell = [](const std::optional<double>& value) {
    return value ? fixed(*value, 2) : std::string();
  };
  for (const report::Outcome& one : answer.outcomes)
    text += csv_line({one.what, one.done, one.basis, cell(one.de00), cell(one.low), cell(one.high),
                      one.light, one.de00 ? std::to_string(one.observer_deg) : std::string(),
                      one.words});
  return text;
}

std::string to_text(const ReportAnswer& answer) {
  std::string text = "Report: " + counted(answer.pages, "page", "pages") + "; " +
                     counted(answer.readings, "tone", "tones") + ", " +
                     counted(answer.differences, "comparison", "comparisons") + ", " +
                     counted(answer.fills, "fill", "fills") + ", " +
                     counted(answer.recipes, "wash", "washes") + ", " +
                     counted(answer.trials, "trial", "trials") + ", " +
                     counted(answer.pictures, "picture", "pictures") + "\n";
  for (const std::string& file : answer.files) text += "  " + file + "\n";
  return text;
}

std::string to_json(const ReportAnswer& answer) {
  Json json = document("report-files");
  json["files"] = answer.files;
  json["pages"] = answer.pages;
  json["readings"] = answer.readings;
  json["differences"] = answer.differences;
  json["fills"] = answer.fills;
  json["recipes"] = answer.recipes;
  json["trials"] = answer.trials;
  json["pictures"] = answer.pictures;
  json["not_known"] = answer.not_shown;
  return written(json);
}

std::string to_csv(const ReportAnswer& answer) {
  std::string text = csv_line({"file"});
  for (const std::string& file : answer.files) text += csv_line({file});
  return text;
}

}  // namespace mendtone::app
