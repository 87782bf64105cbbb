#pragma once
#include <string>
#include <string_view>

#include "mendtone/adapters/record_tables.hpp"

namespace mendtone::app {

/// A table as CSV (RFC 4180, '\n'): a heading line, then every row; nothing is an empty cell.
std::string table_to_csv(const RecordTable& table);

/// Fills `table` (which has its columns) from such a CSV; columns may stand in any order, and
/// columns that an older export did not have stay empty. Refuses unknown columns and ragged rows.
Result<void> table_from_csv(std::string_view text, const std::string& file, RecordTable& table);

}  // namespace mendtone::app
