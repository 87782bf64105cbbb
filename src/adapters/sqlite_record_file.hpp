#pragma once
#include <memory>
#include <string>

#include "adapters/sqlite_connection.hpp"

namespace mendtone::sqlite {

/// What a look at the first 100 bytes says; refuses what is not a record without touching it.
Result<void> examine_header(const std::string& path);

/// Makes a new record under a temporary name and gives it its own only when it is whole. It is no
/// error when another program was faster.
Result<void> create_record(const std::string& path);

/// Opens an existing record of any layout up to the latest, for writing where the place allows it.
Result<std::unique_ptr<Connection>> open_existing(const std::string& path);

/// Brings the layout up to the latest, in one transaction.
Result<void> bring_up_to_date(Connection& connection);

/// Has the copy's pages on the disk under `copy`, which must not exist.
Result<void> copy_record(Connection& from, const std::string& copy);

}  // namespace mendtone::sqlite
