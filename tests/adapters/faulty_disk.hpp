#pragma once
#include <sqlite3.h>

#include <string>

namespace mendtone {

/// What goes wrong on a disk.
enum class DiskFault {
  half_written,  ///< a write stops in the middle, and says so
  write_error,   ///< EIO of a write, a sync or a removal
  full,          ///< ENOSPC
  read_error,    ///< EIO of a read
  power_lost,    ///< nothing after it arrives; what was not synced arrives in part, sectors torn
};
inline constexpr DiskFault all_disk_faults[] = {DiskFault::half_written, DiskFault::write_error,
                                                DiskFault::full, DiskFault::read_error,
                                                DiskFault::power_lost};
const char* name_of(DiskFault);

/// While it lives, SQLite reads and writes through a layer over the real one, which fails once: at
/// the operation number `at`, counted from 0. One at a time in a process.
class FaultyDisk {
 public:
  FaultyDisk(DiskFault fault, long at, std::uint64_t seed);
  ~FaultyDisk();
  FaultyDisk(const FaultyDisk&) = delete;
  FaultyDisk& operator=(const FaultyDisk&) = delete;

  /// Whether the work went on for long enough to meet the fault.
  bool met() const;
  /// After a loss of power, when nothing is open any more: leaves in the folder what such a loss
  /// would leave of its files.
  void leave_what_a_loss_leaves(const std::string& folder) const;
};

}  // namespace mendtone
