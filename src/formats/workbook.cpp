#include "mendtone/formats/workbook.hpp"

#include <algorithm>
#include <iterator>

#include "formats/csv.hpp"
#include "formats/lamps.hpp"
#include "formats/raw.hpp"
#include "formats/text.hpp"
#include "mendtone/spectral/places.hpp"

namespace mendtone {
namespace {

using namespace formats;

constexpr char sheet_mark = '\x1e';
constexpr std::string_view tab = "\t";

bool only_blank(std::string_view rows) {
  return rows.find_first_not_of("\t\n\" ") == rows.npos;
}

/// A sheet that holds notes or nothing is no fault of the workbook; one that begins like a table of
/// readings and cannot be read is.
bool is_no_table(const Error& error) {
  return error.message.starts_with("no reading in");
}

void append(ReadFile& all, ReadFile one) {
  std::move(one.readings.begin(), one.readings.end(), std::back_inserter(all.readings));
  std::move(one.warnings.begin(), one.warnings.end(), std::back_inserter(all.warnings));
}

Error nothing_in(std::string_view file, const char* what, const std::vector<std::string>& sheets) {
  return bad_input("no " + std::string(what) + " in " + std::string(file) + ": found " +
                       (sheets.empty() ? std::string("no sheet with anything in it")
                                       : "the sheets " + listed(sheets, 6)) +
                       (sheets.empty() ? "" : ", none with a table of them"),
                   std::string(file));
}

}  // namespace

std::string_view Workbook::rows(std::size_t sheet) const {
  return std::string_view(text).substr(sheets[sheet].from, sheets[sheet].length);
}

Result<Workbook> workbook_from(std::string text, std::string_view file_name) {
  Workbook book;
  book.text = std::move(text);
  const std::string_view all = book.text;
  if (!all.empty() && all.front() != sheet_mark)
    return bad_input("the spreadsheet could not be read: its sheets are not told apart",
                     std::string(file_name));
  for (std::size_t at = 0; at < all.size();) {
    const std::size_t line_end = std::min(all.find('\n', at), all.size());
    const std::size_t from = std::min(line_end + 1, all.size());
    const std::size_t next = std::min(all.find(sheet_mark, from), all.size());
    book.sheets.push_back({std::string(all.substr(at + 1, line_end - at - 1)), from, next - from});
    at = next;
  }
  return book;
}

Result<ReadFile> read_readings(const Workbook& workbook, std::string_view file_name,
                               const ReadOptions& options) {
  ReadFile all;
  std::vector<std::string> others;
  std::optional<Error> first_fault;
  for (std::size_t i = 0; i < workbook.sheets.size(); ++i) {
    if (only_blank(workbook.rows(i))) continue;
    const std::string place = sheet_in(file_name, workbook.sheets[i].name);
    auto raw = read_table(workbook.rows(i), place, tab, options);
    auto one = raw ? finish(*std::move(raw), place, options) : Result<ReadFile>(raw.error());
    if (one) {
      append(all, *std::move(one));
      continue;
    }
    const bool no_table = shape_of(workbook.rows(i), tab).layout == Layout::none;
    if (!no_table && !is_no_table(one.error())) return one.error();
    if (!first_fault) first_fault = one.error();
    others.push_back(quoted(workbook.sheets[i].name));
  }
  if (all.readings.empty() && others.size() == 1) return *first_fault;
  if (all.readings.empty()) return nothing_in(file_name, "reading", others);
  if (!others.empty())
    all.warnings.push_back({"sheets without a table of readings, left out: " + listed(others),
                            std::string(file_name)});
  return all;
}

Result<LampFile> read_lamps(const Workbook& workbook, std::string_view file_name) {
  RawLampFile all;
  for (std::size_t i = 0; i < workbook.sheets.size(); ++i) {
    if (only_blank(workbook.rows(i))) continue;
    const std::string& name = workbook.sheets[i].name;
    auto one = read_text_lamps(workbook.rows(i), sheet_in(file_name, name), tab);
    if (!one) return one.error();
    for (RawLamp& lamp : one->lamps) {
      if (lamp.lamp.name.empty() && workbook.sheets.size() > 1) lamp.lamp.name = name;
      all.lamps.push_back(std::move(lamp));
    }
    for (std::string& other : one->others) all.others.push_back(std::move(other));
    std::move(one->warnings.begin(), one->warnings.end(), std::back_inserter(all.warnings));
  }
  return finish_lamps(std::move(all), file_name);
}

}  // namespace mendtone
