#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "adapters/sqlite_connection.hpp"

namespace mendtone::sqlite {

/// Steps a connection in a transaction from the layout it has to `layout`, guards included.
Result<void> take_steps(Connection& connection, int layout);

/// SHA-256 over the schema that the steps make, and the same as it is written down: making it costs
/// a hundred times what a look costs. Empty for a layout that is not written down.
Result<std::string> schema_hash(int layout);
std::string_view known_schema_hash(int layout);

/// What stands in the record's schema and not in ours of that layout, and the reverse, each named:
/// tables, indexes, views, and the guards that make a record append-only.
Result<std::vector<std::string>> foreign_parts(Connection& connection, int layout);

/// Takes away views and guards that are not ours: in a copy, which is to be read.
Result<void> drop_foreign_guards(Connection& connection, int layout);

}  // namespace mendtone::sqlite
