#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/spectral/reading.hpp"

namespace mendtone {

enum class Scale { fraction, percent };

/// Where the bands of a table without a heading lie, in nm.
struct StatedBands {
  double first_nm = 0, last_nm = 0, step_nm = 0;
  std::size_t count() const;
};
/// "400-700:10". Refuses a step that does not lead from the first to the last, and anything but
/// 2 to 1200 bands within 200-3000 nm.
Result<StatedBands> stated_bands(std::string_view text);

struct ReadOptions {
  std::optional<Scale> scale;  ///< what the person says it is
  /// For a text or sheet that does not say them: one value a band, a reading a row or a column.
  std::optional<StatedBands> wavelengths{};
  /// A row of a CSV that carries loads but neither bands nor Lab is kept too: a mixture asked for.
  bool loads_alone = false;
};

/// All readings of one file, in its order, and what was done to them on the way in.
struct ReadFile {
  std::vector<Reading> readings;
  std::vector<Warning> warnings;
};

/// Reads CSV, CGATS.17, CxF3, JCAMP-DX or IES TM-27-14, told apart by content. `file_name` is only
/// for messages. Wavelengths rise, values are fractions; bands outside 300-850 nm are left out, and
/// said. Refuses what it cannot understand with line and column, and a sound file in which nothing
/// is a reading with 'no reading in FILE: found …'; never returns zero readings. Time and memory
/// grow in step with the file.
Result<ReadFile> read_readings(std::string_view bytes, std::string_view file_name,
                               const ReadOptions& options = {});

}  // namespace mendtone
