#pragma once
#include <string>
#include <vector>

#include "mendtone/base/result.hpp"

namespace mendtone::app {

/// Refuses a column that is none of `known`, naming the nearest of them: a misspelt column would be
/// a blank one, unsaid. `what`: what kind of file it is ("a stock file"); `where`: file and line of
/// the heading. A heading's blank cells are passed over.
Result<void> check_columns(const std::vector<std::string>& heading,
                           const std::vector<std::string>& known, const std::string& what,
                           const std::string& where);

}  // namespace mendtone::app
