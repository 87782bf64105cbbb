#pragma once
#include <string>
#include <vector>

namespace mendtone::app {

/// `csv_line` without its guard against formulas: what a program reads back.
std::string exact_csv_line(const std::vector<std::string>& cells);

}  // namespace mendtone::app
