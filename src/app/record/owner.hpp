#pragma once
#include "mendtone/app/record/keep.hpp"
#include "mendtone/record/store.hpp"

namespace mendtone::app {

/// The sheet and the loss that something belongs to; either may be missing.
struct Owner {
  record::Link sheet, loss;
};

/// What the person says that it belongs to; a loss says its sheet. Refuses names that are not
/// there, and a loss of another sheet than the one that is named.
Result<Owner> stated_owner(const record::Store& store, const Keeping& keeping);

/// What a result belongs to without being told: the sheet and the loss of whatever the record
/// keeps and the request names as what is to be matched, read or corrected. Nothing where the names
/// stand for several sheets, or for files.
Result<Owner> owner_of(const record::Store& store, const Computed& computed);

/// The sheet and loss that readings of that name are of; nothing where they are of several, or of none.
Result<Owner> owner_named(const record::Store& store, const std::string& name,
                          const std::string& reading);

}  // namespace mendtone::app
