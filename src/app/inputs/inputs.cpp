#include "mendtone/app/inputs/inputs.hpp"

#include <cmath>
#include <filesystem>

#include "app/inputs/exact_csv.hpp"
#include "app/inputs/text.hpp"
#include "app/record/kept_readings.hpp"
#include "app/record/record_lookup.hpp"
#include "app/record/stages.hpp"
#include "mendtone/adapters/files.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/base/near_names.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/record/unreadable.hpp"

namespace mendtone::app {
namespace {

using record::Cell;

std::string lamp_table(const record::Lamp& lamp) {
  std::string text = "nm,power\n";
  for (std::size_t i = 0; i < lamp.power->value.size(); ++i)
    text += shortest(lamp.power->grid.nm()[i]) + ',' + shortest(lamp.power->value[i]) + '\n';
  return text;
}

/// How many drops were weighed; of a drop that was not weighed, its volume alone.
Result<std::string> drop_cells(const record::Store& store, record::Link dropper) {
  if (!dropper) return std::string(",,,");
  auto kept = record::get<record::Dropper>(store, *dropper);
  if (!kept) return kept.error();
  const record::Dropper& drop = kept->value;
  if (!drop.drop_ml) return std::string(",,,");
  if (!drop.drops_weighed) return shortest(*drop.drop_ml) + ",,,";
  const auto drops = static_cast<double>(*drop.drops_weighed);
  return ',' + shortest(drops) + ',' + shortest(drops * *drop.drop_ml) + ",1";
}

/// Stocks of one colorant each, as a stock file; nothing where there is none.
Result<std::optional<std::string>> stock_table(const record::Store& store) {
  auto stocks = record::all_readable<record::Stock>(store);
  if (!stocks) return stocks.error();
  std::map<std::string, std::string> line_of;
  for (const auto& stock : *stocks) {
    if (stock.value.dry_g_ml.size() != 1) continue;
    const auto& [colorant, strength] = *stock.value.dry_g_ml.begin();
    auto drop = drop_cells(store, stock.value.dropper);
    if (!drop) return drop.error();
    line_of[colorant] = exact_csv_line({colorant, stock.value.name, shortest(strength)});
    line_of[colorant].pop_back();
    line_of[colorant] += ',' + *drop + '\n';
  }
  if (line_of.empty()) return std::optional<std::string>();
  std::string table = "colorant,stock,g_per_ml,ml_per_drop,drops,drops_g,density_g_ml\n";
  for (const auto& [colorant, line] : line_of) table += line;
  return std::optional(table);
}

/// The number in "computation #10", as a result without a name is called.
std::optional<record::Id> numbered(const std::string& name) {
  constexpr std::string_view before = "computation #";
  if (!name.starts_with(before)) return std::nullopt;
  const auto number = parse_number(std::string_view(name).substr(before.size()));
  if (!number || *number < 1 || *number > 1e15 || *number != std::floor(*number))
    return std::nullopt;
  return static_cast<record::Id>(*number);
}

/// A lamp or a computed result of that name; nothing where there is none.
Result<std::optional<std::string>> other_named(const record::Store& store,
                                               const std::string& name) {
  auto lamps = record::all_readable<record::Lamp>(store, {{{"name", Cell{name}}}, false});
  if (!lamps) return lamps.error();
  if (!lamps->empty() && lamps->front().value.power)
    return std::optional(lamp_table(lamps->front().value));
  auto results = record::current<record::Computation>(store, {{{"name", Cell{name}}}, false});
  if (!results) return results.error();
  if (!results->empty()) return std::optional(results->back().value.result);
  if (const auto number = numbered(name))
    if (const auto rows = MENDTONE_TRY(store.history("computation", *number));
        !rows.empty() && !rows.back().withdrawn)
      return std::optional(
          MENDTONE_TRY(record::get<record::Computation>(store, *number)).value.result);
  if (name == "stocks") return stock_table(store);
  return std::optional<std::string>();
}

Result<std::string> from_record(const std::string& name, const InputPlace& place) {
  auto store = open_record(place.record, Opening::must_exist);
  if (!store) return store.error();
  auto kept = kept_under(**store, name);
  if (!kept) return kept.error();
  if (*kept) return **kept;
  auto names = input_names(**store);
  if (!names) return names.error();
  const auto near = near_names(name, *names);
  const std::string others = near.empty() ? "" : "; it has " + listed(near);
  if (!place.files) return bad_input("the record keeps nothing of this name" + others, name);
  return outside_world("there is no such file, and the record " + place.record +
                           " keeps nothing of this name" + others,
                       name);
}

Result<std::string> found(const std::string& name, const InputPlace& place) {
  if (place.only) {
    const auto kept = place.only->find(name);
    if (kept != place.only->end()) return kept->second;
    return outside_world("this input was not kept with the result", name);
  }
  if (place.files && (place.record.empty() || is_file(name, place))) return read_file(name);
  return from_record(name, place);
}

}  // namespace

Result<std::optional<std::string>> kept_under(const record::Store& store, const std::string& name) {
  auto readings = readings_of_one_stage(store, name);
  if (!readings) return readings.error();
  if (readings->readings.empty()) return other_named(store, name);
  auto washed = washed_since(store, readings->readings);
  if (!washed) return washed.error();
  if (!washed->empty()) readings->notes.push_back(*washed);
  return std::optional(to_kept_json(readings->readings, readings->notes));
}

bool is_file(const std::string& name, const InputPlace& place) {
  if (place.only) return place.only->count(name) > 0;
  std::error_code ignored;
  return place.files && std::filesystem::exists(name, ignored);
}

Result<std::string> input_bytes(const std::string& name, const InputPlace& place) {
  auto bytes = found(name, place);
  if (bytes && place.noted) place.noted->emplace(name, *bytes);
  return bytes;
}

Result<std::optional<std::string>> backing_bytes(const std::string& name, const InputPlace& place) {
  const std::string key = "backing " + name;
  std::optional<std::string> bytes;
  if (place.only) {
    const auto kept = place.only->find(key);
    if (kept != place.only->end()) bytes = kept->second;
    return bytes;
  }
  std::error_code ignored;
  if (place.record.empty() || !std::filesystem::exists(place.record, ignored)) return bytes;
  auto store = open_record(place.record, Opening::must_exist);
  if (!store) return store.error();
  auto readings = backings_named(**store, name);
  if (!readings) return readings.error();
  if (readings->empty()) return bytes;
  bytes = to_kept_json(*readings);
  if (place.noted) place.noted->emplace(key, *bytes);
  return bytes;
}

}  // namespace mendtone::app
