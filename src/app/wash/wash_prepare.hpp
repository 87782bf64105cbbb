#pragma once
#include <map>

#include "mendtone/app/wash/wash.hpp"
#include "mendtone/materials/backings.hpp"
#include "mendtone/materials/sheet.hpp"

namespace mendtone::app {

/// A wash problem from files, and what else could be put in its place (for what would bring an
/// unreachable target nearer).
struct PreparedWash {
  WashState state;
  std::vector<Warning> warnings;
  std::vector<std::string> notes;
  std::map<std::string, Setting> other_backings;  ///< by name; a loss or tear over them instead
};

Result<PreparedWash> prepare_wash(const WashRequest& request, const InputPlace& place);

}  // namespace mendtone::app
