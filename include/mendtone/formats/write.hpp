#pragma once
#include <span>
#include <string>

#include "mendtone/spectral/reading.hpp"

namespace mendtone {

/// Readings as our readings CSV (UTF-8, comma, decimal point, LF): only the columns that some
/// reading states, every number in its shortest exact form. Reading it back gives the same
/// readings; a colorant that only some rows name is an explicit 0 in the others that state loads.
std::string readings_to_csv(std::span<const Reading> readings);

/// Readings as CGATS.17 text. A new table begins where the wavelengths change. Conditions that all
/// readings share stand in the header, in the standard's own keywords; what CGATS.17 has no field
/// for stands under declared keywords of our own. CGATS knows no way to write a quote
/// inside a name, so " becomes '.
std::string readings_to_cgats(std::span<const Reading> readings);

}  // namespace mendtone
