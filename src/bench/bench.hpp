#pragma once
#include <optional>
#include <string>

#include "mendtone/base/result.hpp"

namespace mendtone::bench {

struct BenchRequest {
  std::string record;       ///< path
  bool new_record = false;  ///< a first start: the record is made, and must not be there yet
  std::optional<int> port;  ///< nothing: the record's usual one, else any that is free
  bool no_browser = false;
  std::string program;  ///< name and version, as entries in the record carry it
};

/// Opens the page and serves it until the program is told to stop (SIGINT, SIGTERM, SIGHUP).
/// Prints the address to standard output.
Result<void> bench(const BenchRequest& request);

}  // namespace mendtone::bench
