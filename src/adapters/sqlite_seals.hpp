#pragma once
#include <string>

#include "adapters/sqlite_connection.hpp"
#include "mendtone/adapters/record_seals.hpp"

// Each entry holds the hash of the entry before it with its rows and with the seal that that one
// holds: whoever changes an entry of the past changes every seal after it. There is no secret in
// it. What was there before layout 3 is sealed as it was found.

namespace mendtone::sqlite {

/// The seal that the next entry has to hold, and the entry that it closes.
Result<record::Head> head_of(Connection& connection);

/// Gives a record of layout 3 its identity; seals every entry that is there as it was found.
Result<void> begin_seals(Connection& connection);

/// Walks the whole chain.
Result<SealReport> check_chain(Connection& connection, const std::vector<record::Head>& known);

}  // namespace mendtone::sqlite
