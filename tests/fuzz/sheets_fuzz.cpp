// The helper for spreadsheets by itself, behind the gate as in life: what it writes is a workbook.
#include <exception>

#include "fuzz/workbook_entry.hpp"
#include "sheets/cells.hpp"

extern "C" int LLVMFuzzerTestOneInput(const unsigned char* data, std::size_t size) {
  using namespace mendtone;
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);
  const auto facts = check_workbook(bytes, "f");
  if (!facts) return 0;
  std::string cells;
  try {
    cells = sheets::cells_of(bytes, facts->kind == WorkbookFacts::Kind::ods);
  } catch (const std::exception&) {
    return 0;  // the reason is told and the process ends
  }
  fuzz::demand(workbook_from(std::move(cells), "f").operator bool(), "it writes a workbook");
  return 0;
}
