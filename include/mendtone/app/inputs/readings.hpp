#pragma once
#include <optional>
#include <string>
#include <vector>

#include "mendtone/app/inputs/inputs.hpp"
#include "mendtone/base/result.hpp"
#include "mendtone/formats/read.hpp"
#include "mendtone/results/common.hpp"

namespace mendtone::app {

using results::Sources;

/// Reads every file or name of the record, in order; the first that cannot be opened (exit 4) or
/// understood (exit 3) ends it, named. Backings that the readings name but that no file holds are
/// looked up in the record.
Result<ReadFile> load(const Sources& sources, const InputPlace& place);

/// Adds what the record keeps of the backing `name`, unless `readings` hold it.
Result<void> add_backing(const std::string& name, const InputPlace& record,
                         std::vector<Reading>& readings);

}  // namespace mendtone::app
