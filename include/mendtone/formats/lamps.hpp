#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/colour/light.hpp"
#include "mendtone/spectral/reading.hpp"

namespace mendtone {

/// A lamp as its file has it: spectral power in the file's own unit, absolute or relative.
struct Lamp {
  std::string name;      ///< within its file; the file's own name where it holds one lamp
  std::string quantity;  ///< what the file calls the numbers, with the unit; may be empty
  Spectrum power;        ///< rising wavelengths that cover 400-700 nm
  /// CIE 1931 chromaticity and correlated colour temperature, where the file states them.
  std::optional<double> stated_x, stated_y, stated_cct_K;
  Source source;
};

struct LampFile {
  std::vector<Lamp> lamps;          ///< never empty
  std::vector<std::string> others;  ///< what else stands there that is no lamp, and why
  std::vector<Warning> warnings;
};

/// Lamps of a text table (two columns or more in any separator, one lamp a column or a row, or a
/// meter's export whose rows begin with '380 nm' among other words), of IES TM-27-14 XML, and of
/// CGATS.17, CxF3 and JCAMP-DX with emission data; told apart by content.
/// Refuses a file without a lamp: 'no lamp in FILE: found …'. A lamp must cover 400-700 nm; one in
/// photon units is no lamp, since power does not follow from photons without a conversion that
/// nobody asked for.
Result<LampFile> read_lamps(std::string_view bytes, std::string_view file_name);

/// The lamp of that name: spelt so, or the only one whose name or quantity holds the word. An empty
/// name means the file's only lamp. Refuses with the names that there are.
Result<Lamp> lamp_called(const LampFile& file, std::string_view name, std::string_view file_name);

/// A lamp as a light to judge colours under. CIE 15 sums from 380 to 780 nm: where the lamp's
/// readings end within that, the end value is held, and the bands so added are counted.
struct LampLight {
  Light light;
  std::size_t bands_held = 0;
};
LampLight light_of(const Lamp& lamp, std::string_view file_name);

}  // namespace mendtone
