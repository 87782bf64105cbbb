#pragma once
#include <string_view>

#include "sheets/rows.hpp"

namespace mendtone::sheets {

void read_xlsx(std::string_view bytes, Rows& rows);
void read_ods(std::string_view bytes, Rows& rows);

}  // namespace mendtone::sheets
