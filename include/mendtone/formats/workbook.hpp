#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/formats/lamps.hpp"
#include "mendtone/formats/read.hpp"

namespace mendtone {

/// What a packed spreadsheet says of itself before any library sees it.
struct WorkbookFacts {
  enum class Kind { xlsx, ods } kind = Kind::xlsx;
  bool has_macros = false;
  std::size_t unpacked_bytes = 0;
};

/// True where the bytes begin as a ZIP archive does, which XLSX and ODS are.
bool is_packed(std::string_view bytes);

/// The gate for spreadsheets: the archive's directory, read by our own code (APPNOTE.TXT 6.3.10).
/// Refuses what is no XLSX (ECMA-376) or ODS (OpenDocument 1.3), what is encrypted, what unpacks to
/// more than 256 MB, what has more than 10,000 parts, whose parts overlap, lie outside the file, or
/// have names that leave their folder.
Result<WorkbookFacts> check_workbook(std::string_view bytes, std::string_view file_name);

/// The cells of a workbook as text: a line a row, cells parted by tabs, quoted as in CSV where that
/// is needed; no row is left out, so that line and column give the cell's name.
struct Workbook {
  struct Sheet {
    std::string name;
    std::size_t from = 0, length = 0;  ///< of its rows, in `text`
  };
  std::string text;
  std::vector<Sheet> sheets;

  std::string_view rows(std::size_t sheet) const;
};

/// A workbook as the helper for spreadsheets writes it: for each sheet a line '\x1e' NAME, then its
/// rows. Refuses other text.
Result<Workbook> workbook_from(std::string text, std::string_view file_name);

/// Readings of every sheet that has some, as `read_readings` reads a CSV; messages name sheet and
/// cell. Sheets without readings are named in a warning.
Result<ReadFile> read_readings(const Workbook& workbook, std::string_view file_name,
                               const ReadOptions& options = {});
/// Lamps of every sheet that has some.
Result<LampFile> read_lamps(const Workbook& workbook, std::string_view file_name);

}  // namespace mendtone
