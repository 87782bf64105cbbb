#pragma once
#include <string>
#include <string_view>

#include "mendtone/base/result.hpp"
#include "mendtone/formats/workbook.hpp"

namespace mendtone {

/// The cells of an XLSX or ODS: the gate looks at the bytes first (`check_workbook`), then the
/// helper `mendtone-sheets` reads them in a confined process of its own. It is looked for beside
/// the running program, then in ../libexec/mendtone from there. `file_name` is only for messages.
Result<Workbook> read_workbook(std::string_view bytes, const std::string& file_name);

/// A workbook (XLSX) of such text as `Workbook` holds: for each sheet a line '\x1e' NAME, then its
/// rows, the first of which is the heading. Cells that are numbers become numbers.
Result<std::string> write_workbook(std::string_view text);

}  // namespace mendtone
