#pragma once
#include "fuzz/entry.hpp"
#include "mendtone/formats/workbook.hpp"

namespace mendtone::fuzz {

/// What the helper for spreadsheets might say, as a workbook's readings and lamps.
inline int feed_workbook(std::string_view text) {
  const auto book = workbook_from(std::string(text), "f");
  if (!book) {
    demand(!book.error().message.empty(), "a refusal says why");
    return 0;
  }
  std::size_t all = 0;
  for (std::size_t i = 0; i < book->sheets.size(); ++i) all += book->rows(i).size();
  demand(all <= text.size(), "no sheet holds what the text does not");
  check(read_readings(*book, "f"));
  const auto lamps = read_lamps(*book, "f");
  demand(lamps || !lamps.error().message.empty(), "a refusal says why");
  return 0;
}

/// Any bytes at all before the gate for spreadsheets.
inline int feed_zip(std::string_view bytes) {
  const auto facts = check_workbook(bytes, "f");
  if (facts)
    demand(facts->unpacked_bytes <= std::size_t{256} << 20, "nothing that unpacks to more passes");
  else
    demand(!facts.error().message.empty(), "a refusal says why");
  return 0;
}

}  // namespace mendtone::fuzz
