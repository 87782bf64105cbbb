#pragma once
#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/record/values.hpp"

namespace mendtone::record {

/// A cell: nothing, whole number, number, text. Lists and maps are JSON text.
using Cell = std::variant<std::monostate, std::int64_t, double, std::string>;

enum class CellType { whole, number, text };

/// What a text cell holds: plain words, or JSON: a list, {colorant: load}, or polygons.
enum class CellForm { plain, list, loads, outline };

/// The numbers that a cell may hold; `least` above `most`: any.
struct Limits {
  double least = 1, most = 0;
  constexpr bool any() const { return least > most; }
};

/// What a column of one kind is: everything that the store, the export and the command line need.
struct Column {
  std::string name;
  CellType type = CellType::text;
  std::string help;
  std::string links_to;             ///< a kind, or empty
  std::vector<std::string> one_of;  ///< allowed words; empty: any
  bool required = false;
  CellForm form = CellForm::plain;
  Limits limits = {};
};

/// A kind of thing, its columns in the order of its struct.
struct Kind {
  std::string name;
  std::string help;
  /// Names are unique among the current things of this kind that share this link: a column's
  /// name; "" for the whole record; "-" where names may repeat.
  std::string unique_within = "-";
  std::vector<Column> columns;

  /// The position of a column; `columns.size()` when there is none.
  std::size_t position(std::string_view column) const;
};

/// All kinds, those linked to before those that link wherever a circle does not forbid it.
std::span<const Kind> kinds();
/// The kind of that name, or nullptr.
const Kind* find_kind(std::string_view name);

/// One thing as cells, in the order of its kind's columns.
struct Row {
  std::string kind;
  std::vector<Cell> cells;
};

/// The cells of any struct of values.hpp.
template <class T>
Row to_row(const T& value);

/// Fills the struct from cells; refuses what no program of ours writes, naming the column.
template <class T>
Result<void> from_row(const Row& row, T& value);

/// Names every fault of a row at once: a required cell left empty, a word that is not allowed, a
/// cell of the wrong type. Links are checked by the store.
Result<void> validate(const Row& row);

/// A cell from what a person typed or a CSV holds; empty text is nothing. Numbers with '.'.
Result<Cell> parse_cell(std::string_view text, const Column& column);
/// The reverse: numbers in shortest form, nothing as empty text.
std::string text_of(const Cell& cell);

}  // namespace mendtone::record
