#pragma once
#include <string>
#include <vector>

#include "adapters/sqlite_connection.hpp"
#include "mendtone/adapters/sqlite_store.hpp"

namespace mendtone::sqlite {

/// Every row of a checking statement, as text.
Result<std::vector<std::string>> lines(Connection& connection, const std::string& sql);

/// What SQLite's own checks and the hashes of the kept bytes have to say; one line a fault.
Result<std::vector<std::string>> faults_of(Connection& connection, const StillGoing& going = {});

}  // namespace mendtone::sqlite
