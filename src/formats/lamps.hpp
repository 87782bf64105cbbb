#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "mendtone/formats/lamps.hpp"

namespace mendtone::formats {

/// A spectrum as its file has it, before it is known to be a lamp.
struct RawLamp {
  Lamp lamp;                      ///< without `power`
  std::vector<double> nm, value;  ///< in the file's order
};

struct RawLampFile {
  std::vector<RawLamp> lamps;
  std::vector<std::string> others;
  std::vector<Warning> warnings;
};

/// Why numbers so described are no lamp's power: 'photons …', 'reflectance' …; none where they
/// may be.
std::optional<std::string> not_power(std::string_view words);

/// What a key or a heading states of a lamp.
enum class Stated { none, x, y, xy, cct };
Stated stated_by(std::string_view key);
/// Puts a stated value where it belongs; text that is no such value is left.
void put_stated(Stated what, std::string_view text, Lamp& lamp);

/// Settles what is a lamp and what is none; refuses where nothing is.
Result<LampFile> finish_lamps(RawLampFile raw, std::string_view file);

/// A table whose cells one of `separators` parts; the first that fits best is taken.
Result<RawLampFile> read_text_lamps(std::string_view text, std::string_view file,
                                    std::string_view separators = "\t;,=: ");
Result<RawLampFile> read_tm27_lamps(std::string_view text, std::string_view file);
/// From the readers of readings, asked for lamps.
Result<RawLampFile> read_cgats_lamps(std::string_view text, std::string_view file);
Result<RawLampFile> read_cxf_lamps(std::string_view text, std::string_view file);
Result<RawLampFile> read_jcamp_lamps(std::string_view text, std::string_view file);

}  // namespace mendtone::formats
