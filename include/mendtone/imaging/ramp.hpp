#pragma once
#include <cstddef>
#include <vector>

#include "mendtone/colour/lab.hpp"

namespace mendtone {

/// Colours for amounts from none to much: pale to dark without a turn, so that anyone who sees
/// lightness can read it; equal steps in CIEDE2000. D50/2 degrees, within sRGB. `count` >= 2.
std::vector<Lab> amount_ramp(std::size_t count);

/// Colours for signed amounts: blue below, near-white at 0, orange-brown above. The two arms differ
/// along blue-yellow, which red- and green-blind eyes keep, and each darkens outwards in equal
/// steps of CIEDE2000. `count` odd, >= 3; the middle one is zero.
std::vector<Lab> signed_ramp(std::size_t count);

}  // namespace mendtone
