#pragma once
#include <functional>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "mendtone/record/kinds.hpp"

namespace mendtone::record {

/// A row as it stands in the store.
using KeptRow = Kept<Row>;

/// The end of a record's chain of entries: what has to be written down elsewhere so that a change
/// of anything before it shows.
struct Head {
  std::int64_t entry = 0;  ///< the number of the last entry
  std::string at;          ///< when that was made; empty in an empty record
  std::string seal;        ///< SHA-256 over it, its rows, and the seal that it holds
  bool operator==(const Head&) const = default;
};

/// "ENTRY/AT/SEAL", as it is printed and typed.
std::string text_of(const Head& head);
Result<Head> head_from(std::string_view text);

/// Which rows are asked for; every condition that is set must hold.
struct Query {
  /// column = cell, each; the column must exist in the kind asked for.
  std::vector<std::pair<std::string, Cell>> where;
  bool withdrawn_too = false;
};

/// A treatment record: append-only. Nothing is changed or taken away; a correction is a new row
/// that points at the old one. Every call that returns has reached the disk, unless it is inside
/// `together`. Two programs may hold the same record at once.
class Store {
 public:
  virtual ~Store() = default;

  /// Keeps a new thing. Refuses what `validate` refuses, a link to what is not there, and a name
  /// that is taken.
  virtual Result<Id> add(const Row& row, const Entry& entry) = 0;
  /// Keeps a correction of the thing `id`; `entry.why` is required.
  virtual Result<Id> correct(Id id, const Row& row, const Entry& entry) = 0;
  /// Keeps a correction that says that the thing should not have been entered; the row before it
  /// stays readable in its history. Refused while something current still points at it.
  virtual Result<void> withdraw(std::string_view kind, Id id, const Entry& entry) = 0;

  /// All rows of one thing, the oldest first.
  virtual Result<std::vector<KeptRow>> history(std::string_view kind, Id id) const = 0;
  /// The newest row of each thing of a kind, in the order of their ids.
  virtual Result<std::vector<KeptRow>> current(std::string_view kind, const Query& = {}) const = 0;
  /// Every row ever kept of a kind, in the order in which they were kept.
  virtual Result<std::vector<KeptRow>> all(std::string_view kind) const = 0;
  virtual Result<std::int64_t> count(std::string_view kind) const = 0;

  /// The number of the newest entry; it rises with everything that is kept. 0: an empty record.
  virtual Result<std::int64_t> last_entry() const = 0;
  virtual Result<Head> head() const = 0;

  /// Why nothing can be kept here, in words; empty where it can.
  virtual std::string reading_only() const = 0;

  /// Keeps bytes under their SHA-256 (hexadecimal, lower case); the same bytes are kept once.
  virtual Result<std::string> keep_bytes(std::string_view bytes) = 0;
  virtual Result<std::string> bytes(const std::string& sha256) const = 0;
  virtual Result<std::vector<std::string>> all_bytes() const = 0;  ///< the hashes, sorted

  /// All of `work` is kept or none of it, even when the power goes. An error from `work` undoes
  /// it and is handed on.
  virtual Result<void> together(const std::function<Result<void>()>& work) = 0;
  /// Several reads that see one and the same state while another program writes.
  virtual Result<void> reading_together(const std::function<Result<void>()>& work) const = 0;
};

template <class T>
Result<Id> add(Store& store, const T& value, const Entry& entry) {
  return store.add(to_row(value), entry);
}

template <class T>
Result<Id> correct(Store& store, Id id, const T& value, const Entry& entry) {
  return store.correct(id, to_row(value), entry);
}

/// Turns cells into the struct; the rest is copied.
template <class T>
Result<Kept<T>> typed(const KeptRow& row) {
  Kept<T> kept{row.id, row.row, row.replaces, row.withdrawn, row.entry, {}};
  auto read = from_row(row.value, kept.value);
  if (!read) return read.error();
  return kept;
}

template <class T>
Result<std::vector<Kept<T>>> typed(const Result<std::vector<KeptRow>>& rows) {
  if (!rows) return rows.error();
  std::vector<Kept<T>> all;
  all.reserve(rows->size());
  for (const KeptRow& row : *rows) {
    auto one = typed<T>(row);
    if (!one) return one.error();
    all.push_back(*std::move(one));
  }
  return all;
}

template <class T>
Result<std::vector<Kept<T>>> current(const Store& store, const Query& query = {}) {
  return typed<T>(store.current(T::kind, query));
}

template <class T>
Result<std::vector<Kept<T>>> history(const Store& store, Id id) {
  return typed<T>(store.history(T::kind, id));
}

/// The current thing of that id; refuses an id that is not there or was withdrawn.
template <class T>
Result<Kept<T>> get(const Store& store, Id id) {
  auto rows = store.history(T::kind, id);
  if (!rows) return rows.error();
  if (rows->empty() || rows->back().withdrawn)
    return bad_input("the record has no " + std::string(T::kind) + " with the number " +
                     std::to_string(id));
  return typed<T>(rows->back());
}

/// One sheet with all of its parts, current rows only.
struct WholeSheet {
  Kept<Sheet> sheet;
  std::vector<Kept<Photograph>> photographs;
  std::vector<Kept<Spot>> spots;
  std::vector<Kept<Loss>> losses;
  std::vector<Kept<KeptReading>> readings;  ///< of the sheet itself: its spots and losses
  std::vector<Kept<Mean>> means;
  std::vector<Kept<Bath>> baths;
  std::vector<Kept<SpotTest>> spot_tests;
  std::vector<Kept<Step>> steps;
  std::vector<Kept<Fill>> fills;
  std::vector<Kept<Recipe>> recipes;
  std::vector<Kept<Trial>> trials;
  std::vector<Kept<KeptReading>> trial_readings;
  std::vector<Kept<Tissue>> tissues;  ///< those that its fills and recipes name
  std::vector<Kept<Offcut>> offcuts;  ///< of these tissues
  std::vector<Kept<Computation>> computations;
  std::vector<Kept<Note>> notes;
};

/// Gathers a sheet's parts in one state of the record.
Result<WholeSheet> whole_sheet(const Store& store, Id sheet);

}  // namespace mendtone::record
