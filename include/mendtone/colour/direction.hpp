#pragma once
#include <string_view>

namespace mendtone {

/// The axes of CIELAB along which a difference is put into words.
enum class Axis { L, a, b };

/// A difference along an axis that is smaller is not put into words. Maintainers' figure: half of
/// what a reading by hand repeats to.
inline constexpr double worth_a_word = 0.3;

/// "lighter", "darker", "pinker", "greener", "yellower", "less yellow": which way a colour lies from
/// the sheet's by `difference`; empty below `worth_a_word`. `sheet_b`: a bluish sheet (below 0) has
/// "bluer" in the place of "less yellow".
std::string_view direction_word(Axis axis, double difference, double sheet_b = 0);

}  // namespace mendtone
