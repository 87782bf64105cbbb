#pragma once
#include <memory>
#include <string>
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/record/store.hpp"

namespace mendtone {

enum class Opening { must_exist, create_if_missing };

/// A treatment record in one SQLite file: application_id 0x4d656e64 ("Mend"), user_version the
/// layout, write-ahead log, synchronous=FULL. One Store belongs to one thread at a time; any
/// number of them, in any number of programs, may hold the same file.
///
/// A file of another kind, a truncated one, and one made by a newer mendtone are refused and left
/// as they are. An older layout is brought up to date after a copy of it was laid beside it
/// (`PATH.layout-N`). Where the file or its folder cannot be written, what it holds can still be
/// read, and every attempt to keep something is refused.
Result<std::unique_ptr<record::Store>> open_record(const std::string& path, Opening opening);

/// Copies a record to a new file while it may be in use, checks the copy, and only then gives it
/// its name. Refuses to overwrite.
Result<void> back_up_record(const std::string& path, const std::string& copy);

/// What SQLite's own integrity and foreign-key checks, and the hashes of the kept bytes, have to
/// say: one line a fault, nothing when all is well.
Result<std::vector<std::string>> check_record_file(const std::string& path);

/// The layout that this program writes.
int record_layout();
/// The tables and triggers of that layout as SQL text.
std::string record_schema();

}  // namespace mendtone
