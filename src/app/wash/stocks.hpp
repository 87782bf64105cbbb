#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/match/dispense.hpp"

namespace mendtone::app {

struct StockFile {
  std::vector<Stock> stocks;
  std::vector<std::string> warnings;
};

/// A stock file: CSV with a heading line; `;` may part the cells, and then a comma is the decimal
/// sign. Columns, in any order:
///   stock         the bottle's name (blank: the colorant's)
///   colorant      as the calibration names it
///   g_per_ml      dry colorant in 1 ml: weigh 1 ml dried on foil. Not for loads in ml/m2.
///   ml_per_drop   or, better, by weighing:
///   drops, drops_g, density_g_ml   so many drops weigh so much; density blank: 1, and said
Result<StockFile> read_stocks(std::string_view text, const std::string& name, LoadUnit unit);

}  // namespace mendtone::app
