#pragma once
#include <string>

#include "adapters/sqlite_connection.hpp"

namespace mendtone::sqlite {

/// Remembers what lies at the connection's path: see `hold_record`.
Result<void> hold(Connection& connection);

/// Refuses another record, or an older state, than the one that is held at that path; nothing where
/// none is held.
Result<void> check_held(Connection& connection);

/// What to say where nothing lies at a path; empty where no record is held there.
std::string said_of_missing(const std::string& path);

}  // namespace mendtone::sqlite
