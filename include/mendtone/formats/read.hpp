#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/spectral/reading.hpp"

namespace mendtone {

enum class Scale { fraction, percent };

struct ReadOptions {
  std::optional<Scale> scale;  ///< what the person says it is
};

/// All readings of one file, in its order, and what was done to them on the way in.
struct ReadFile {
  std::vector<Reading> readings;
  std::vector<Warning> warnings;
};

/// Reads CSV, CGATS.17, CxF3 or JCAMP-DX, told apart by content. `file_name` is only for messages.
/// Refuses what it cannot understand with line and column; never returns zero readings.
Result<ReadFile> read_readings(std::string_view bytes, std::string_view file_name,
                               const ReadOptions& options = {});

}  // namespace mendtone
