#pragma once
#include "app/inputs/json.hpp"
#include "mendtone/app/record/record.hpp"

namespace mendtone::app {

/// A row with its links written as names.
Shown shown(const record::Store& store, const record::KeptRow& row);

/// {kind, id, withdrawn, entry, columns, links}.
Json thing_json(const Shown& thing);

}  // namespace mendtone::app
