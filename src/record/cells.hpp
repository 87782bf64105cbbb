#pragma once
#include "mendtone/record/kinds.hpp"

namespace mendtone::record {

// Lists and maps as JSON text. Numbers in shortest form, so that they come back bit for bit.

std::string numbers_to_text(std::span<const double> numbers);
std::optional<std::vector<double>> numbers_from_text(std::string_view text);

/// Equal steps as "380:10:730" where that gives back the same doubles, else as a list.
std::string grid_to_text(const WavelengthGrid& grid);
std::optional<WavelengthGrid> grid_from_text(std::string_view text);

std::string ids_to_text(const std::vector<Id>& ids);
std::optional<std::vector<Id>> ids_from_text(std::string_view text);

std::string loads_to_text(const std::map<std::string, double>& loads);
std::optional<std::map<std::string, double>> loads_from_text(std::string_view text);

std::string outline_to_text(const Outline& outline);
std::optional<Outline> outline_from_text(std::string_view text);

}  // namespace mendtone::record
