#pragma once
#include <vector>

#include "mendtone/record/store.hpp"

namespace mendtone::app {

/// Which repeats go into a mean: those that stand together, or all, as older programs kept it.
enum class Averaged { together, all };

/// The mean of every group of repeats (two or more under the same conditions, of the same spot and
/// stage), in the order of each group's first reading: band by band, or L*, a*, b* each.
std::vector<record::Mean> means_of(const std::vector<record::Kept<record::KeptReading>>& readings,
                                   Averaged averaged = Averaged::together);

/// After readings were corrected or withdrawn: each mean that they went into is corrected to that
/// of the readings that still are repeats of one another, or withdrawn where fewer than two are.
Result<void> renew_means(record::Store& store, const std::vector<record::Id>& readings,
                         const record::Entry& entry);

}  // namespace mendtone::app
