#pragma once
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "mendtone/app/inputs/viewing.hpp"
#include "mendtone/base/result.hpp"
#include "mendtone/report/content.hpp"
#include "mendtone/report/write.hpp"

namespace mendtone::app {

/// A report from results that were kept as files, or from one sheet of a treatment record, or from
/// both: what the files say is added to what the record holds.
struct ReportRequest {
  /// JSON of tone, difference, tissue, wash, correct or image change.
  std::vector<std::string> results;
  /// Readings by stage ("before treatment", FILE): their tones, spreads and spectra.
  std::vector<std::pair<std::string, std::string>> readings;
  /// Photographs to show; the first is the sheet.
  std::vector<std::string> pictures;

  std::string record, sheet;

  ViewingRequest viewing;  ///< for readings and the record; no light named: D65
  InputPlace lamps{};      ///< where lamps are looked up that are no CIE lights

  std::string title, object_id, description, laboratory, operator_name;
  std::string notice;              ///< such as "invented data"; shown on every page
  std::vector<std::string> notes;  ///< what was done, a paragraph each
  std::string date;                ///< as it is to be printed, 2026-03-14
  std::string program_version;

  /// The fill that was taken: a tissue's name, or NAME:PLIES. Empty: as the record says, or none.
  std::string chosen;
  std::map<std::string, std::string> refused;  ///< tissue -> why it was not taken
  std::size_t most_fills = 12;

  std::string folder;  ///< made where it is not there
};

struct ReportAnswer {
  std::vector<std::string> files;  ///< written: HTML, PDF, CSV, JSON
  std::size_t pages = 0;           ///< of the PDF
  std::size_t readings = 0, differences = 0, fills = 0, recipes = 0, trials = 0, pictures = 0;
  std::vector<std::string> not_shown;  ///< what was asked for and could not be shown, and why
};

/// What the report will say, without writing it. Refuses (exit 3) a file that is not a result of
/// this program, (exit 4) one that cannot be opened, and a request that gives nothing to report.
Result<report::ReportContent> report_content(const ReportRequest& request);

/// The files that a report into that folder consists of.
std::vector<std::string> report_files(const std::string& folder);

/// Writes report.html, report.pdf, report.csv and report.json into the folder, each whole or not
/// at all.
Result<ReportAnswer> report(const ReportRequest& request);

/// The methods paragraph and the line of each loss and each change, to paste into another form.
struct MethodsAnswer {
  std::string methods;
  std::vector<report::Outcome> outcomes;
};

/// Writes no file. Refuses what `report_content` refuses.
Result<MethodsAnswer> report_methods(const ReportRequest& request);

std::string to_text(const MethodsAnswer&);
std::string to_json(const MethodsAnswer&);
std::string to_csv(const MethodsAnswer&);
inline bool has_answer(const MethodsAnswer&) {
  return true;
}

std::string to_text(const ReportAnswer&);
std::string to_json(const ReportAnswer&);
std::string to_csv(const ReportAnswer&);
inline bool has_answer(const ReportAnswer&) {
  return true;
}

}  // namespace mendtone::app
