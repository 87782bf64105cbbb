#include "app/inputs/columns.hpp"

#include <algorithm>

#include "app/inputs/text.hpp"
#include "mendtone/base/near_names.hpp"

namespace mendtone::app {

Result<void> check_columns(const std::vector<std::string>& heading,
                           const std::vector<std::string>& known, const std::string& what,
                           const std::string& where) {
  for (std::size_t i = 0; i < heading.size(); ++i) {
    const std::string& column = heading[i];
    if (column.empty() || std::find(known.begin(), known.end(), column) != known.end()) continue;
    const auto near = near_names(column, known);
    return bad_input(
        what + " has no column '" + column + "'; " +
            (near.empty() ? "it has " + listed(known) : "is it '" + near.front() + "'?"),
        where + ", column " + std::to_string(i + 1));
  }
  return {};
}

}  // namespace mendtone::app
