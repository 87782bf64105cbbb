#pragma once
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "mendtone/record/store.hpp"

namespace mendtone::app {

using KeptReadings = std::vector<record::Kept<record::KeptReading>>;

/// Does all of `work` in the record, or none of it.
Result<void> in_record(const std::string& path,
                       const std::function<Result<void>(record::Store&)>& work);

/// The readings that a name stands for (see `input_bytes`); none where it stands for none. Refuses
/// a name that stands for spots of two sheets.
Result<KeptReadings> readings_named(const record::Store& store, const std::string& name);
/// The same of a name as it stands, without "@STAGE".
Result<KeptReadings> readings_plainly_named(const record::Store& store, const std::string& name);

/// What `input_bytes` finds in the record under a name; nothing where it keeps nothing of it.
Result<std::optional<std::string>> kept_under(const record::Store& store, const std::string& name);

/// Readings of role backing or substrate of that name.
Result<KeptReadings> backings_named(const record::Store& store, const std::string& name);

/// A thing by its name, or by its name within a sheet ("chart/margin"), or by "#NUMBER". Refuses
/// what is not there, naming near ones, and a name that several have.
Result<record::Id> find_thing(const record::Store& store, const std::string& kind,
                              const std::string& name,
                              std::optional<record::Id> sheet = std::nullopt);

/// Every name that `input_bytes` would take.
Result<std::vector<std::string>> input_names(const record::Store& store);

}  // namespace mendtone::app
