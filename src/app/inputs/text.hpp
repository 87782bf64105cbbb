#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "mendtone/base/words.hpp"
#include "mendtone/colour/lab.hpp"
#include "mendtone/results/walk.hpp"
#include "mendtone/spectral/reading.hpp"

// What every answer's text and CSV share.
namespace mendtone::app {

/// "where: text", or the text alone.
std::string line_of(const Warning& warning);

/// The same of each.
std::vector<std::string> lines_of(const std::vector<Warning>& warnings);

/// "g/m2", as it stands behind a load.
std::string in_words(LoadUnit unit);

/// "L* 86.12  a* +2.05  b* +13.96".
std::string text_of(const Lab& lab);

/// Without any of `blanks` at either end.
std::string trimmed(std::string_view text, std::string_view blanks = " \t");

using results::csv_line;

/// `text` padded with blanks to `width` characters (not bytes: names may hold accents).
std::string padded(std::string_view text, std::size_t width);

/// `text` broken between words into lines of at most `width` characters; the lines after the first
/// begin with `indent` blanks. Ends with a line break.
std::string wrapped(std::string_view text, std::size_t indent = 0, std::size_t width = 100);

}  // namespace mendtone::app
