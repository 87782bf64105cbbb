#pragma once
#include <string>
#include <string_view>

namespace mendtone::sheets {

/// The cells of every sheet of a workbook, as text: for each sheet a line '\x1e' NAME, then a line
/// a row, cells parted by tabs and quoted as in CSV where that is needed. Formulas give the value
/// that the file keeps beside them; nothing is computed and no macro is run.
/// Throws where the file is damaged, with the reason.
std::string cells_of(std::string_view bytes, bool is_ods);

}  // namespace mendtone::sheets
