#pragma once
#include <string>
#include <string_view>

#include "mendtone/base/result.hpp"

namespace mendtone {

/// The bytes of a file. Error outside_world (exit 4) naming file and reason when it cannot be
/// opened or read, or when it is larger than `limit_bytes`.
Result<std::string> read_file(const std::string& path, std::size_t limit_bytes = 256u << 20);

/// Writes all or nothing: to a temporary file in the same folder, synced, then renamed.
Result<void> write_file(const std::string& path, std::string_view bytes);

}  // namespace mendtone
