#pragma once
#include <optional>
#include <string>

#include "mendtone/base/result.hpp"

namespace mendtone::bench {

struct BenchRequest {
  std::string record;       ///< path; the record is made if it is not there
  std::optional<int> port;  ///< nothing: the record's usual one, else any that is free
  bool no_browser = false;
  std::string program;  ///< name and version, as entries in the record carry it
};

/// Opens the page and serves it until the program is told to stop (SIGINT, SIGTERM, SIGHUP).
/// Prints the address to standard output.
Result<void> bench(const BenchRequest& request);

}  // namespace mendtone::bench
