#pragma once
#include <string>
#include <string_view>

// What no reading, no paper and no name can be, at every door.
namespace mendtone {

// CIELAB of any paper, tissue or paint: L* 0 to 100, with room for noise below and for fluorescence
// above; a* and b* far beyond the most vivid pigment.
inline constexpr double lowest_L = -1, highest_L = 110, highest_ab = 200;
/// g/m2: the heaviest board is a tenth of it.
inline constexpr double highest_grammage_g_m2 = 5000;

/// What is wrong with a colour, with its limits; empty: nothing.
std::string fault_of_lab(double L, double a, double b);

/// What is wrong with a text that a person is to read: not UTF-8, or a control character (a line
/// break or a tab is none where `lines` may stand in it); of a name, blanks alone. Empty: nothing.
std::string fault_of_text(std::string_view text, bool lines);

}  // namespace mendtone
