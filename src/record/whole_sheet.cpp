#include <algorithm>
#include <set>

#include "mendtone/record/store.hpp"

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

template <class T>
Result<void> gather(const Store& store, std::string column, Id id, std::vector<Kept<T>>& to) {
  return append(to, current<T>(store, {{{std::move(column), Cell{id}}}}));
}

/// Drops the second of two rows of the same thing and puts the rest in the order of entry.
template <class T>
void once_each(std::vector<Kept<T>>& things) {
  std::sort(things.begin(), things.end(), [](auto& a, auto& b) { return a.id < b.id; });
  things.erase(
      std::unique(things.begin(), things.end(), [](auto& a, auto& b) { return a.id == b.id; }),
      things.end());
}

Result<void> parts_of_losses(const Store& store, WholeSheet& whole) {
  for (const auto& loss : whole.losses) {
    if (auto r = gather(store, "loss", loss.id, whole.fills); !r) return r;
    if (auto r = gather(store, "loss", loss.id, whole.recipes); !r) return r;
    if (auto r = gather(store, "loss", loss.id, whole.computations); !r) return r;
    if (auto r = gather(store, "loss", loss.id, whole.notes); !r) return r;
  }
  once_each(whole.computations);
  return {};
}

/// Recipes and tissues that are not tied to a loss but that its fills name.
Result<void> what_fills_name(const Store& store, WholeSheet& whole) {
  for (const auto& fill : whole.fills)
    if (fill.value.recipe) {
      auto recipe = get<Recipe>(store, *fill.value.recipe);
      if (!recipe) return recipe.error();
      whole.recipes.push_back(*std::move(recipe));
    }
  once_each(whole.recipes);
  std::set<Id> tissues;
  for (const auto& fill : whole.fills)
    if (fill.value.tissue) tissues.insert(*fill.value.tissue);
  for (const auto& recipe : whole.recipes)
    if (recipe.value.tissue) tissues.insert(*recipe.value.tissue);
  for (Id id : tissues) {
    auto tissue = get<Tissue>(store, id);
    if (!tissue) return tissue.error();
    whole.tissues.push_back(*std::move(tissue));
    if (auto r = gather(store, "tissue", id, whole.offcuts); !r) return r;
  }
  return {};
}

Result<void> trials_of_recipes(const Store& store, WholeSheet& whole) {
  for (const auto& recipe : whole.recipes)
    if (auto r = gather(store, "recipe", recipe.id, whole.trials); !r) return r;
  for (const auto& trial : whole.trials)
    if (auto r = gather(store, "trial", trial.id, whole.trial_readings); !r) return r;
  return {};
}

Result<void> gather_all(const Store& store, Id id, WholeSheet& whole) {
  auto sheet = get<Sheet>(store, id);
  if (!sheet) return sheet.error();
  whole.sheet = *std::move(sheet);
  if (auto r = gather(store, "sheet", id, whole.photographs); !r) return r;
  if (auto r = gather(store, "sheet", id, whole.spots); !r) return r;
  if (auto r = gather(store, "sheet", id, whole.losses); !r) return r;
  if (auto r = gather(store, "sheet", id, whole.readings); !r) return r;
  if (auto r = gather(store, "sheet", id, whole.means); !r) return r;
  if (auto r = gather(store, "sheet", id, whole.baths); !r) return r;
  if (auto r = gather(store, "sheet", id, whole.spot_tests); !r) return r;
  if (auto r = gather(store, "sheet", id, whole.steps); !r) return r;
  if (auto r = gather(store, "sheet", id, whole.computations); !r) return r;
  if (auto r = gather(store, "sheet", id, whole.notes); !r) return r;
  if (auto r = parts_of_losses(store, whole); !r) return r;
  if (auto r = what_fills_name(store, whole); !r) return r;
  if (auto r = trials_of_recipes(store, whole); !r) return r;
  once_each(whole.notes);
  return {};
}

}  // namespace

Result<WholeSheet> whole_sheet(const Store& store, Id sheet) {
  WholeSheet whole;
  auto read = store.reading_together([&] { return gather_all(store, sheet, whole); });
  if (!read) return read.error();
  return whole;
}

}  // namespace mendtone::record
