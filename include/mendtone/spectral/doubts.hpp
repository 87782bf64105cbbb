#pragma once
#include <cstddef>
#include <string>
#include <vector>

#include "mendtone/spectral/reading_set.hpp"

namespace mendtone {

/// How far a grid falls short of the light that colour is made of.
struct Coverage {
  std::size_t bands_missing_below = 0;  ///< bands of its own step that 380 nm would need
  std::size_t bands_missing_above = 0;  ///< and 780 nm
  /// Reaches 380-730 nm: what is held beyond does not matter to a colour.
  bool enough = true;
};
Coverage coverage(const WavelengthGrid& grid);

/// What a person should know before she believes these readings: bands whose ends are held,
/// values below 0 or above 1.2, facts of ISO 13655 that the file does not state. One text each.
/// Ref: iso13655
std::vector<std::string> doubts(const Repeats& repeats);

}  // namespace mendtone
