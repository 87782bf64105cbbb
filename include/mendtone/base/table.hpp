#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "mendtone/base/result.hpp"

namespace mendtone {

/// A plain table of numbers with a heading line: the layout of reference-data's spectra.
struct NumberTable {
  std::vector<std::string> heading;
  std::vector<std::vector<double>> column;  ///< one vector per heading, equal lengths

  /// The column of that name, or nullptr.
  const std::vector<double>* find(std::string_view name) const;
};

/// Comma-separated, one heading line, '#' lines skipped. Refuses ragged rows and non-numbers,
/// naming line and column.
Result<NumberTable> parse_number_table(std::string_view text, std::string_view name);

/// A compiled-in table; contract: it exists and is sound (a test parses every one).
NumberTable reference_numbers(std::string_view file_name);

}  // namespace mendtone
