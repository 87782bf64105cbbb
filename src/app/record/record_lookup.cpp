#include "app/record/record_lookup.hpp"

#include <algorithm>
#include <charconv>
#include <set>

#include "app/inputs/text.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/base/near_names.hpp"
#include "mendtone/record/unreadable.hpp"

namespace mendtone::app {
namespace {

using record::Cell;
using record::Id;
using record::KeptRow;
using record::Query;
using record::Store;

using Wanted = std::pair<std::string, Cell>;

Result<std::vector<Id>> ids_of(const Store& store, const char* kind, std::vector<Wanted> where) {
  auto rows = store.current(kind, Query{std::move(where), false});
  if (!rows) return rows.error();
  std::vector<Id> ids;
  for (const KeptRow& row : *rows) ids.push_back(row.id);
  return ids;
}

Result<KeptReadings> readings_where(const Store& store, std::string column, Cell cell,
                                    const std::string& stage) {
  Query query{{{std::move(column), std::move(cell)}}, false};
  if (!stage.empty()) query.where.push_back({"stage", Cell{stage}});
  return record::all_readable<record::KeptReading>(store, query);
}

/// Readings of the tissue as it lies in the drawer: not those of swatches and trials made on it.
Result<KeptReadings> readings_of_tissue(const Store& store, Id tissue, const std::string& stage) {
  auto readings = readings_where(store, "tissue", Cell{tissue}, stage);
  if (readings)
    std::erase_if(*readings, [](const record::Kept<record::KeptReading>& kept) {
      return has_role(kept.value.reading, {Role::swatch, Role::trial});
    });
  return readings;
}

/// Every reading of a trial that says what was laid down.
Result<KeptReadings> readings_of_trials(const Store& store, const std::string& stage) {
  auto readings = readings_where(store, "role", Cell{std::string(name_of(Role::trial))}, stage);
  if (readings)
    std::erase_if(*readings, [](const record::Kept<record::KeptReading>& kept) {
      return kept.value.reading.loads.empty();
    });
  return readings;
}

/// Every reading of a tissue of which something is left, or whose amount was never said.
Result<KeptReadings> readings_of_drawer(const Store& store, const std::string& stage) {
  auto tissues = record::current<record::Tissue>(store);
  if (!tissues) return tissues.error();
  KeptReadings all;
  for (const auto& tissue : *tissues) {
    if (tissue.value.left_cm2 && *tissue.value.left_cm2 <= 0) continue;
    auto readings = readings_of_tissue(store, tissue.id, stage);
    if (!readings) return readings;
    all.insert(all.end(), readings->begin(), readings->end());
  }
  return all;
}

/// A part of a sheet, as "SHEET/NAME" says it.
struct Part {
  Id sheet = 0;
  std::string name;
};

/// Both names may hold a stroke themselves: the first of which a sheet's name stands before it, and
/// one alone. Nothing where there is none.
Result<std::optional<Part>> part_in(const Store& store, const std::string& name) {
  for (auto slash = name.find('/'); slash != std::string::npos; slash = name.find('/', slash + 1)) {
    auto sheets = ids_of(store, "sheet", {{"name", Cell{name.substr(0, slash)}}});
    if (!sheets) return sheets.error();
    if (sheets->size() == 1) return std::optional(Part{sheets->front(), name.substr(slash + 1)});
  }
  return std::optional<Part>();
}

/// Spots or losses of that name; of "SHEET/NAME", those on the only sheet of that name.
Result<std::vector<Id>> places_named(const Store& store, const char* kind,
                                     const std::string& name) {
  auto part = part_in(store, name);
  if (!part) return part.error();
  if (*part)
    return ids_of(store, kind, {{"sheet", Cell{(*part)->sheet}}, {"name", Cell{(*part)->name}}});
  auto ids = ids_of(store, kind, {{"name", Cell{name}}});
  if (ids && ids->size() > 1)
    return bad_input(
        "several sheets have a " + std::string(kind) + " of this name: write SHEET/" + name, name);
  return ids;
}

/// What a name without "@STAGE" stands for.
Result<KeptReadings> readings_plainly_named(const Store& store, const std::string& name,
                                            const std::string& stage) {
  if (name == "drawer") return readings_of_drawer(store, stage);
  if (name == "trials") return readings_of_trials(store, stage);
  for (const char* kind : {"sheet", "spot", "loss", "tissue", "trial", "file"}) {
    const bool place = std::string_view(kind) == "spot" || std::string_view(kind) == "loss";
    auto ids =
        place ? places_named(store, kind, name) : ids_of(store, kind, {{"name", Cell{name}}});
    if (!ids) return ids.error();
    KeptReadings all;
    for (Id id : *ids) {
      auto readings = std::string_view(kind) == "tissue"
                          ? readings_of_tissue(store, id, stage)
                          : readings_where(store, kind, Cell{id}, stage);  // named as its kind
      if (!readings) return readings;
      all.insert(all.end(), readings->begin(), readings->end());
    }
    if (!all.empty()) return all;
  }
  return readings_where(store, "name", Cell{name}, stage);
}

/// The number of "#3"; a name may begin with that sign too.
std::optional<Id> number_in(const std::string& name) {
  if (name.empty() || name.front() != '#') return std::nullopt;
  Id number = 0;
  const char* const end = name.data() + name.size();
  const auto [next, fault] = std::from_chars(name.data() + 1, end, number);
  if (fault != std::errc{} || next != end) return std::nullopt;
  return number;
}

std::string name_of_row(const KeptRow& row) {
  const auto name = record::find_kind(row.value.kind)->position("name");
  return name < row.value.cells.size() ? record::text_of(row.value.cells[name]) : std::string();
}

Error no_such_thing(const Store& store, const std::string& kind, const std::string& name) {
  std::vector<std::string> names;
  if (auto rows = store.current(kind))
    for (const KeptRow& row : *rows) names.push_back(name_of_row(row));
  const auto near = near_names(name, names);
  std::string message = "the record has no " + kind + " of this name";
  if (!near.empty()) message += "; it has " + listed(near);
  return bad_input(message, name);
}

}  // namespace

Result<void> in_record(const std::string& path, const std::function<Result<void>(Store&)>& work) {
  auto store = open_record(path, Opening::must_exist);
  if (!store) return store.error();
  return (*store)->together([&] { return work(**store); });
}

Result<KeptReadings> readings_plainly_named(const Store& store, const std::string& name) {
  return readings_plainly_named(store, name, "");
}

Result<KeptReadings> readings_named(const Store& store, const std::string& name) {
  auto readings = readings_plainly_named(store, name, "");
  if (!readings || !readings->empty()) return readings;
  const auto at = name.rfind('@');
  if (at == std::string::npos) return readings;
  return readings_plainly_named(store, name.substr(0, at), name.substr(at + 1));
}

Result<KeptReadings> backings_named(const Store& store, const std::string& name) {
  KeptReadings all;
  for (Role role : {Role::backing, Role::substrate}) {
    auto readings = record::current<record::KeptReading>(
        store, Query{{{"name", Cell{name}}, {"role", Cell{std::string(name_of(role))}}}, false});
    if (!readings) return readings;
    all.insert(all.end(), readings->begin(), readings->end());
  }
  return all;
}

Result<Id> find_thing(const Store& store, const std::string& kind, const std::string& name,
                      std::optional<Id> sheet) {
  if (const auto number = number_in(name)) {
    auto rows = store.history(kind, *number);
    if (!rows) return rows.error();
    if (!rows->empty() && !rows->back().withdrawn) return *number;
    return no_such_thing(store, kind, name);
  }
  std::vector<Wanted> where{{"name", Cell{name}}};
  const auto* known = record::find_kind(kind);
  if (known->position("name") == known->columns.size())
    return bad_request("a " + kind + " has no name: write its number, as in #3", name);
  if (sheet && known->unique_within == "sheet") where.push_back({"sheet", Cell{*sheet}});
  auto ids = ids_of(store, kind.c_str(), where);
  if (!ids) return ids.error();
  if (ids->empty() && known->unique_within == "sheet") {
    auto part = part_in(store, name);
    if (!part) return part.error();
    if (!*part && !name.empty() && name.front() == '#')  // "#3/NAME"
      if (const auto slash = name.find('/'); slash != std::string::npos)
        if (auto parent = find_thing(store, "sheet", name.substr(0, slash)))
          *part = Part{*parent, name.substr(slash + 1)};
    if (*part) return find_thing(store, kind, (*part)->name, (*part)->sheet);
  }
  if (ids->empty()) return no_such_thing(store, kind, name);
  if (ids->size() == 1) return ids->front();
  std::string numbers;
  for (Id id : *ids) numbers += (numbers.empty() ? "#" : ", #") + std::to_string(id);
  return bad_request(
      "several have this name: say which sheet (SHEET/NAME) or the number (" + numbers + ")", name);
}

Result<std::vector<std::string>> input_names(const Store& store) {
  std::set<std::string> names;
  for (const char* kind :
       {"sheet", "spot", "loss", "tissue", "trial", "file", "reading", "lamp", "computation"}) {
    auto rows = store.current(kind);
    if (!rows) return rows.error();
    for (const KeptRow& row : *rows) names.insert(name_of_row(row));
  }
  names.erase("");
  return std::vector<std::string>(names.begin(), names.end());
}

}  // namespace mendtone::app
