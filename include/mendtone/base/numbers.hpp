#pragma once
#include <optional>
#include <string>
#include <string_view>

namespace mendtone {

/// Reads all of `text` as a finite decimal number, with '.' or, when asked, ',' as decimal sign.
/// Leading '+' is allowed; blanks, "nan", "inf", hexadecimal and left-over characters are not.
/// Never looks at the locale.
std::optional<double> parse_number(std::string_view text, char decimal_sign = '.');

/// The shortest text that reads back as the same double. Finite values only.
std::string shortest(double value);

/// `value` with `decimals` digits after the point; "-0.0" is written "0.0".
std::string fixed(double value, int decimals);

/// As `fixed`, with a sign always: "+0.8", "-1.2", "0.0".
std::string fixed_signed(double value, int decimals);

}  // namespace mendtone
