#include "sheets/cells.hpp"

#include "sheets/read.hpp"

namespace mendtone::sheets {

std::string cells_of(std::string_view bytes, bool is_ods) {
  Rows rows;
  if (is_ods)
    read_ods(bytes, rows);
  else
    read_xlsx(bytes, rows);
  return rows.take();
}

}  // namespace mendtone::sheets
