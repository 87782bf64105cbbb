#include <algorithm>
#include <set>

#include "mendtone/record/unreadable.hpp"

namespace mendtone::record {
namespace {

/// Appends what `found` holds; the first refusal stays.
template <class T>
Result<void> append(std::vector<Kept<T>>& to, Result<std::vector<Kept<T>>> found) {
  if (!found) return found.error();
  to.insert(to.end(), std::make_move_iterator(found->begin()),
            std::make_move_iterator(found->end()));
  return {};
}

using LeftOut = std::vector<Unreadable>;

template <class T>
Result<void> gather(const Store& store, std::string column, Id id, LeftOut& left_out,
                    std::vector<Kept<T>>& to) {
  return append(to, current<T>(store, {{{std::move(column), Cell{id}}}}, left_out));
}

/// A part that others name; one that cannot be understood is one part less.
template <class T>
Result<void> fetch(const Store& store, Id id, LeftOut& left_out, std::vector<Kept<T>>& to) {
  auto past = store.history(T::kind, id);
  if (!past) return past.error();
  if (past->empty() || past->back().withdrawn) return get<T>(store, id).error();
  auto one = typed<T>(past->back());
  if (one)
    to.push_back(*std::move(one));
  else
    left_out.push_back({past->back(), unreadable(past->back(), one.error())});
  return {};
}

/// Drops the second of two rows of the same thing and puts the rest in the order of entry.
template <class T>
void once_each(std::vector<Kept<T>>& things) {
  std::sort(things.begin(), things.end(), [](auto& a, auto& b) { return a.id < b.id; });
  things.erase(
      std::unique(things.begin(), things.end(), [](auto& a, auto& b) { return a.id == b.id; }),
      things.end());
}

/// Of the sheet and of its loss: one row.
void once_each_row(LeftOut& left_out) {
  std::set<std::pair<std::string, Id>> seen;
  left_out.erase(std::remove_if(left_out.begin(), left_out.end(),
                                [&](const Unreadable& one) {
                                  return !seen.insert({one.row.value.kind, one.row.row}).second;
                                }),
                 left_out.end());
}

Result<void> parts_of_losses(const Store& store, WholeSheet& whole, LeftOut& left_out) {
  for (const auto& loss : whole.losses) {
    if (auto r = gather(store, "loss", loss.id, left_out, whole.fills); !r) return r;
    if (auto r = gather(store, "loss", loss.id, left_out, whole.recipes); !r) return r;
    if (auto r = gather(store, "loss", loss.id, left_out, whole.computations); !r) return r;
    if (auto r = gather(store, "loss", loss.id, left_out, whole.notes); !r) return r;
  }
  once_each(whole.computations);
  for (const auto& computed : whole.computations)
    if (auto r = gather(store, "computation", computed.id, left_out, whole.recipes); !r) return r;
  return {};
}

template <class T>
Result<void> notes_of(const Store& store, const std::vector<Kept<T>>& things, LeftOut& left_out,
                      WholeSheet& whole) {
  for (const auto& one : things)
    if (auto r = gather(store, std::string(T::kind), one.id, left_out, whole.notes); !r) return r;
  return {};
}

Result<void> notes_of_parts(const Store& store, WholeSheet& whole, LeftOut& left_out) {
  if (auto r = notes_of(store, whole.spots, left_out, whole); !r) return r;
  if (auto r = notes_of(store, whole.recipes, left_out, whole); !r) return r;
  if (auto r = notes_of(store, whole.trials, left_out, whole); !r) return r;
  if (auto r = notes_of(store, whole.fills, left_out, whole); !r) return r;
  return notes_of(store, whole.photographs, left_out, whole);
}

/// Recipes and tissues that are not tied to a loss but that its fills name.
Result<void> what_fills_name(const Store& store, WholeSheet& whole, LeftOut& left_out) {
  for (const auto& fill : whole.fills)
    if (fill.value.recipe)
      if (auto r = fetch(store, *fill.value.recipe, left_out, whole.recipes); !r) return r;
  once_each(whole.recipes);
  std::set<Id> tissues;
  for (const auto& fill : whole.fills)
    if (fill.value.tissue) tissues.insert(*fill.value.tissue);
  for (const auto& recipe : whole.recipes)
    if (recipe.value.tissue) tissues.insert(*recipe.value.tissue);
  for (Id id : tissues) {
    if (auto r = fetch(store, id, left_out, whole.tissues); !r) return r;
    if (auto r = gather(store, "tissue", id, left_out, whole.offcuts); !r) return r;
  }
  return {};
}

Result<void> trials_of_recipes(const Store& store, WholeSheet& whole, LeftOut& left_out) {
  for (const auto& recipe : whole.recipes)
    if (auto r = gather(store, "recipe", recipe.id, left_out, whole.trials); !r) return r;
  for (const auto& trial : whole.trials)
    if (auto r = gather(store, "trial", trial.id, left_out, whole.trial_readings); !r) return r;
  return {};
}

Result<void> gather_all(const Store& store, Id id, WholeSheet& whole, LeftOut& left_out) {
  auto sheet = get<Sheet>(store, id);
  if (!sheet) return sheet.error();
  whole.sheet = *std::move(sheet);
  if (auto r = gather(store, "sheet", id, left_out, whole.photographs); !r) return r;
  if (auto r = gather(store, "sheet", id, left_out, whole.spots); !r) return r;
  if (auto r = gather(store, "sheet", id, left_out, whole.losses); !r) return r;
  if (auto r = gather(store, "sheet", id, left_out, whole.readings); !r) return r;
  if (auto r = gather(store, "sheet", id, left_out, whole.means); !r) return r;
  if (auto r = gather(store, "sheet", id, left_out, whole.baths); !r) return r;
  if (auto r = gather(store, "sheet", id, left_out, whole.spot_tests); !r) return r;
  if (auto r = gather(store, "sheet", id, left_out, whole.steps); !r) return r;
  if (auto r = gather(store, "sheet", id, left_out, whole.computations); !r) return r;
  if (auto r = gather(store, "sheet", id, left_out, whole.notes); !r) return r;
  if (auto r = parts_of_losses(store, whole, left_out); !r) return r;
  if (auto r = what_fills_name(store, whole, left_out); !r) return r;
  if (auto r = trials_of_recipes(store, whole, left_out); !r) return r;
  if (auto r = notes_of_parts(store, whole, left_out); !r) return r;
  once_each(whole.notes);
  once_each_row(left_out);
  return {};
}

}  // namespace

Result<WholeSheet> whole_sheet(const Store& store, Id sheet, std::vector<Unreadable>& left_out) {
  WholeSheet whole;
  auto read = store.reading_together([&] { return gather_all(store, sheet, whole, left_out); });
  if (!read) return read.error();
  return whole;
}

Result<WholeSheet> whole_sheet(const Store& store, Id sheet) {
  std::vector<Unreadable> left_out;
  auto whole = whole_sheet(store, sheet, left_out);
  if (whole && !left_out.empty()) return left_out.front().error;
  return whole;
}

}  // namespace mendtone::record
