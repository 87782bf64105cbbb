#pragma once
#include <optional>
#include <string_view>
#include <vector>

namespace mendtone {

/// The text of one file of reference-data/, compiled in ("observer-2deg-1931-1nm.csv").
/// Empty when there is no such file. Provenance: reference-data/PROVENANCE.csv.
std::optional<std::string_view> reference_table(std::string_view file_name);

/// The names of all compiled-in files, sorted.
std::vector<std::string_view> reference_table_names();

}  // namespace mendtone
