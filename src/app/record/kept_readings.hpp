#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/record/store.hpp"

namespace mendtone::app {

/// Readings of a record as JSON, with every column that a record knows of a reading and doubles in
/// shortest form: they come back bit for bit. `notes`: what is to be said of them.
std::string to_kept_json(const std::vector<record::Kept<record::KeptReading>>& readings,
                         const std::vector<std::string>& notes = {});

/// True for what `to_kept_json` writes.
bool is_kept_json(std::string_view bytes);

Result<std::vector<Reading>> readings_from_kept_json(std::string_view bytes,
                                                     const std::string& name);
/// What is to be said of them.
std::vector<std::string> notes_in_kept_json(std::string_view bytes);

}  // namespace mendtone::app
