#include "mendtone/base/reference_data.hpp"

#include "base/reference_tables.hpp"

namespace mendtone {

std::optional<std::string_view> reference_table(std::string_view file_name) {
  for (std::size_t i = 0; i < detail::embedded_table_count; ++i)
    if (detail::embedded_tables[i].name == file_name) return detail::embedded_tables[i].text;
  return std::nullopt;
}

std::vector<std::string_view> reference_table_names() {
  std::vector<std::string_view> names;
  for (std::size_t i = 0; i < detail::embedded_table_count; ++i)
    names.push_back(detail::embedded_tables[i].name);
  return names;
}

}  // namespace mendtone
