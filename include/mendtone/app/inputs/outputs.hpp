#pragma once
#include <string>
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/results/options.hpp"

namespace mendtone::app {

/// What a command is going to write, and everything that it may read.
struct Outputs {
  std::vector<results::FileToWrite> files;
  /// Texts of the command line: those that name a file or a folder (also behind "NAME=", "mask:" or
  /// before "#NAME") stand for it.
  std::vector<std::string> read;
  std::string record;  ///< itself, what lies beside it, and every photograph that it knows
  bool force = false;  ///< an existing file may be replaced
};

/// The one gate of every option that writes. Refuses (exit 2) a file that the same command reads,
/// whatever its name (device and inode are compared), two outputs that are one file, a folder, and
/// an existing file unless `force`.
Result<void> may_write(const Outputs& outputs);

}  // namespace mendtone::app
