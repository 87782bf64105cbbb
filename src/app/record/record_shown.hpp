#pragma once
#include "app/inputs/json.hpp"
#include "mendtone/app/record/record.hpp"
#include "mendtone/record/unreadable.hpp"

namespace mendtone::app {

/// A row with its links written as names.
Shown shown(const record::Store& store, const record::KeptRow& row);

/// A row that cannot be understood, as it stands, and why: in a column `cannot_be_understood`.
Shown shown_unreadable(const record::Store& store, const record::Unreadable& one);

/// {kind, id, withdrawn, entry, columns, links}.
Json thing_json(const Shown& thing);

}  // namespace mendtone::app
