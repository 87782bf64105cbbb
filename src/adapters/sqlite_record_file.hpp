#pragma once
#include <functional>
#include <memory>
#include <string>

#include "adapters/sqlite_connection.hpp"

namespace mendtone::sqlite {

struct Header {
  bool write_ahead = false;  ///< how its changes are kept: a write-ahead log, or a journal
};

/// What a look at the first 100 bytes says; refuses what is not a record without touching it.
Result<Header> examine_header(const std::string& path);

/// Makes a new record under a temporary name, lets `fill` put in what it is to hold, and gives it
/// its own name only when it is whole. Refuses a name that is taken.
Result<void> create_record(const std::string& path,
                           const std::function<Result<void>(Connection&)>& fill = {});

/// Opens an existing record of any layout up to the latest, for writing where the place allows it
/// and where it holds nothing foreign; else its `reading_only` says why not.
Result<std::unique_ptr<Connection>> open_existing(const std::string& path);

/// Brings the layout up to the latest, in one transaction.
Result<void> bring_up_to_date(Connection& connection);

/// Has the copy's pages on the disk under `copy`, which must not exist.
Result<void> copy_record(Connection& from, const std::string& copy);

}  // namespace mendtone::sqlite
