#pragma once
#include "fuzz/demand.hpp"
#include "mendtone/record/unreadable.hpp"

namespace mendtone::fuzz {

/// A line of the input as a cell: a whole number, a number, else text; nothing where it is blank.
inline record::Cell cell_of(std::string_view line) {
  using record::Cell;
  if (line.empty()) return Cell{};
  record::Column column;
  column.type = record::CellType::whole;
  if (auto whole = record::parse_cell(line, column)) return *whole;
  column.type = record::CellType::number;
  if (auto number = record::parse_cell(line, column)) return *number;
  return Cell{std::string(line)};
}

/// What can be read comes back as it was, cell for cell, when it is written and read again.
template <class T>
void check_codec(const record::Row& row) {
  T value;
  if (!record::from_row(row, value)) return;
  const record::Row written = record::to_row(value);
  T again;
  demand(static_cast<bool>(record::from_row(written, again)), "what is written can be read");
  demand(record::to_row(again).cells == written.cells, "a thing comes back as it was");
}

/// A row as any program may have left it: the kind's name, then a cell a line.
inline int feed_record(std::string_view bytes) {
  using namespace record;
  const auto take = [&] {
    const auto end = bytes.find('\n');
    const std::string_view line = bytes.substr(0, end);
    bytes = end == std::string_view::npos ? std::string_view{} : bytes.substr(end + 1);
    return line;
  };
  const Kind* kind = find_kind(take());
  if (!kind) kind = &kinds()[bytes.size() % kinds().size()];
  Row row{kind->name, std::vector<Cell>(kind->columns.size())};
  for (Cell& cell : row.cells) cell = cell_of(take());
  const auto read = read_back(row);
  if (!read) demand(!read.error().message.empty() && !read.error().where.empty(), "why and where");
  demand(read || !validate(row), "nothing is kept that cannot be read");
  check_codec<Sheet>(row), check_codec<Photograph>(row), check_codec<Spot>(row);
  check_codec<Loss>(row), check_codec<Instrument>(row), check_codec<Lamp>(row);
  check_codec<Tissue>(row), check_codec<Colorant>(row), check_codec<Dropper>(row);
  check_codec<Stock>(row), check_codec<ImportedFile>(row), check_codec<KeptReading>(row);
  check_codec<Mean>(row), check_codec<Computation>(row), check_codec<Recipe>(row);
  check_codec<Trial>(row), check_codec<Fill>(row), check_codec<Bath>(row);
  check_codec<PickUp>(row), check_codec<SpotTest>(row), check_codec<Step>(row);
  check_codec<Offcut>(row), check_codec<Note>(row);
  return 0;
}

}  // namespace mendtone::fuzz
