#pragma once
#include <string>

#include "mendtone/base/result.hpp"
#include "mendtone/formats/lamps.hpp"
#include "mendtone/formats/read.hpp"

namespace mendtone::app {

/// Readings of any file that readings come in: a text, or a spreadsheet, which a process of its own
/// unpacks.
Result<ReadFile> readings_in(const std::string& bytes, const std::string& file_name,
                             const ReadOptions& options = {});
/// The same for lamps.
Result<LampFile> lamps_in(const std::string& bytes, const std::string& file_name);

}  // namespace mendtone::app
