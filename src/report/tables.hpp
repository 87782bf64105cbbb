#pragma once
#include <optional>

#include "mendtone/report/story.hpp"

namespace mendtone::report {

// Each table of the report; nothing where the content holds no rows.
std::optional<Table> readings_table(const ReportContent& content);
std::optional<Table> conditions_table(const ReportContent& content);
std::optional<Table> differences_table(const ReportContent& content);
std::optional<Table> fills_table(const ReportContent& content);
std::optional<Table> entered_table(const Fill& fill);
/// Everything that was entered, one row a thing.
std::optional<Table> all_entered(const ReportContent& content);
std::optional<Table> spot_tests_table(const ReportContent& content);
std::optional<Table> lights_table(const std::vector<UnderLight>& by_light, int observer_deg,
                                  const std::string& what);
std::optional<Table> dispense_table(const RecipeCard& card);
std::optional<Table> loads_table(const RecipeCard& card);
std::optional<Table> coats_table(const RecipeCard& card);
std::optional<Table> recipes_table(const ReportContent& content);
std::optional<Table> trials_table(const ReportContent& content);
/// All series in one table, a step a row; the change of the first spots.
std::optional<Table> series_table(const ReportContent& content);

}  // namespace mendtone::report
