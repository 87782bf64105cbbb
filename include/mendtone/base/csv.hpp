#pragma once
#include <string>
#include <string_view>

namespace mendtone {

/// A cell of RFC 4180: in quotes where it holds a comma, a quote or a line end.
std::string csv_cell(std::string_view text);

/// The same for a person's spreadsheet, which takes a text that begins with = + - @ (or a tab or
/// carriage return before one) for a formula and runs it: such a text gets an apostrophe before it.
/// Numbers stay numbers.
std::string spreadsheet_cell(std::string_view text);

}  // namespace mendtone
