#include "app/inputs/tables.hpp"

#include "mendtone/adapters/spreadsheet.hpp"

namespace mendtone::app {

Result<ReadFile> readings_in(const std::string& bytes, const std::string& file_name,
                             const ReadOptions& options) {
  if (!is_packed(bytes)) return read_readings(bytes, file_name, options);
  const auto workbook = read_workbook(bytes, file_name);
  if (!workbook) return workbook.error();
  return read_readings(*workbook, file_name, options);
}

Result<LampFile> lamps_in(const std::string& bytes, const std::string& file_name) {
  if (!is_packed(bytes)) return read_lamps(bytes, file_name);
  const auto workbook = read_workbook(bytes, file_name);
  if (!workbook) return workbook.error();
  return read_lamps(*workbook, file_name);
}

}  // namespace mendtone::app
