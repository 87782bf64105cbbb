#pragma once
#include "mendtone/app/record/record.hpp"
#include "mendtone/record/store.hpp"

namespace mendtone::app {

/// `record_keep` within work that is done together; means of readings are the caller's to renew.
Result<KeepAnswer> enter_in(record::Store& store, const KeepRequest& request);

}  // namespace mendtone::app
