#pragma once
#include <cstddef>
#include <string_view>

namespace mendtone::detail {

struct EmbeddedTable {
  std::string_view name;
  std::string_view text;
};

extern const EmbeddedTable embedded_tables[];
extern const std::size_t embedded_table_count;

}  // namespace mendtone::detail
