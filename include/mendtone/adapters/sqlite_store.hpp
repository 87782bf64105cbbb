#pragma once
#include <functional>
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
/// read, and every attempt to keep something is refused; so is it of a record that holds tables,
/// views or guards that are not ours, or lacks some of ours.
Result<std::unique_ptr<record::Store>> open_record(const std::string& path, Opening opening);

/// A new, empty record. Refuses a name that is taken.
Result<void> new_record(const std::string& path);

/// From now on this process opens at `path` only the record that lies there now (device, inode and
/// the random number that it carries), and no older state of it: a page that runs for days must not
/// write into something that was put in its place.
Result<void> hold_record(const std::string& path);

/// What has to be said of the place of a record: that it lies on a network. Else empty.
std::string place_note(const std::string& path);

/// Copies a record to a new file while it may be in use, checks the copy, and only then gives it
/// its name; its head. Refuses to overwrite.
Result<record::Head> back_up_record(const std::string& path, const std::string& copy);

/// Asked now and then; its refusal ends what is under way and is handed on.
using StillGoing = std::function<Result<void>()>;

/// What SQLite's own integrity and foreign-key checks, and the hashes of the kept bytes, have to
/// say, and what in it is foreign: one line a fault, nothing when all is well.
Result<std::vector<std::string>> check_record_file(const std::string& path,
                                                   const StillGoing& going = {});

/// The layout that this program writes.
int record_layout();
/// The tables and triggers of that layout as SQL text.
std::string record_schema();

}  // namespace mendtone
