#pragma once
#include "mendtone/record/store.hpp"

namespace mendtone::record {

/// `from_row` into a struct of the row's own kind, which is thrown away.
Result<void> read_back(const Row& row);

/// A kept row that cannot be understood, as an older program or a foreign one left it.
struct Unreadable {
  KeptRow row;
  Error error;  ///< says which row, what was expected there, found, and what to do
};

/// Says which thing and row it is, and what to do.
Error unreadable(const KeptRow& row, const Error& why);

/// The current things without those that cannot be understood, which are named in `left_out`: for
/// whoever can go on without them and says so.
template <class T>
Result<std::vector<Kept<T>>> current(const Store& store, const Query& query,
                                     std::vector<Unreadable>& left_out) {
  auto rows = store.current(T::kind, query);
  if (!rows) return rows.error();
  std::vector<Kept<T>> all;
  all.reserve(rows->size());
  for (KeptRow& row : *rows) {
    auto one = typed<T>(row);
    if (one)
      all.push_back(*std::move(one));
    else
      left_out.push_back({row, unreadable(row, one.error())});
    // Each row's cells go as soon as they are understood: there may be many.
    row = {};
  }
  return all;
}

/// The current things; refused where one of them cannot be understood, and that one is named.
template <class T>
Result<std::vector<Kept<T>>> all_readable(const Store& store, const Query& query = {}) {
  std::vector<Unreadable> left_out;
  auto all = current<T>(store, query, left_out);
  if (all && !left_out.empty()) return left_out.front().error;
  return all;
}

/// `whole_sheet`, its parts that cannot be understood named in `left_out`.
Result<WholeSheet> whole_sheet(const Store& store, Id sheet, std::vector<Unreadable>& left_out);

}  // namespace mendtone::record
