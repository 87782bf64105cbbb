#pragma once
#include <string>
#include <string_view>

namespace mendtone::sheets {

/// A workbook of the text that `cells_of` writes, as XLSX in the file of that name. The first row
/// of each sheet is its heading. What reads as a number is one, in its shortest form: '007' stays
/// text. Empty, or what went wrong.
std::string write_xlsx(std::string_view text, const char* file_name);

}  // namespace mendtone::sheets
