#pragma once
#include <functional>
#include <string>
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/record/kinds.hpp"

namespace mendtone {

/// One table of a record as it stands in the file: every row ever kept, in the order of its rows,
/// with its own bookkeeping columns (row, id, replaces, withdrawn, entry).
struct RecordTable {
  std::string name;
  std::vector<record::Column> columns;
  std::vector<std::vector<record::Cell>> rows;
};

/// The tables' names and columns in the layout that this program writes, `entry` first; without
/// rows, and without the kept bytes.
std::vector<RecordTable> empty_record_tables();

/// Everything in a record, in one state of it: its tables, and `keep` called with each of the kept
/// bytes in the order of their hashes.
Result<std::vector<RecordTable>> record_tables(
    const std::string& path,
    const std::function<Result<void>(const std::string& sha256, const std::string& bytes)>& keep);

/// A new record that holds just these tables and bytes. Refuses to overwrite; nothing stays unless
/// all of it could be kept and SQLite's own checks find nothing.
Result<void> record_from_tables(const std::string& path, const std::vector<RecordTable>& tables,
                                const std::vector<std::string>& kept_bytes);

}  // namespace mendtone
