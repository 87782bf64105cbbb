#pragma once
#include <string>

#include "mendtone/app/inputs/readings.hpp"
#include "mendtone/app/inputs/viewing.hpp"
#include "mendtone/results/difference.hpp"

namespace mendtone::app {

using results::DifferenceAnswer;
using results::DifferenceRequest;
using results::Pair;

/// What two sets of readings differ by. Refuses (exit 3) when no name can be compared.
Result<DifferenceAnswer> difference(const DifferenceRequest& request, const InputPlace& place = {});

/// The same for readings in memory.
Result<DifferenceAnswer> difference_of(const ReadFile& before, const ReadFile& after,
                                       const Viewing& viewing, const ChangeSettings& settings,
                                       bool brightener = false);

/// Where the tolerance in use comes from, in words.
std::string tolerance_origin(const ChangeSettings& settings);

std::string to_text(const DifferenceAnswer&);
/// False where any pair is undecided.
bool has_answer(const DifferenceAnswer&);

}  // namespace mendtone::app
