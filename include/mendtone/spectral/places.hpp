#pragma once
#include <cstddef>
#include <string>
#include <string_view>

namespace mendtone {

/// A sheet of a workbook, as a file that places are named in: "book.xlsx, sheet 'Readings'".
std::string sheet_in(std::string_view file, std::string_view sheet);

/// "line 3, column 7", and in a sheet of a workbook "cell G3" or "row 3"; 0 leaves a part out.
std::string spot_in(std::string_view file, std::size_t line, std::size_t column = 0);

/// "FILE, line 3, column 7", as far as it is known.
std::string place_in(std::string_view file, std::size_t line, std::size_t column = 0);

}  // namespace mendtone
