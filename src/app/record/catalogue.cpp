#include "mendtone/app/record/catalogue.hpp"

#include <algorithm>
#include <set>

#include "app/record/record_shown.hpp"
#include "mendtone/adapters/sqlite_store.hpp"

namespace mendtone::app {
namespace {

using record::Cell;
using record::KeptReading;
using record::Store;

/// Kinds that stand beside the sheets, not in one.
constexpr const char* shared_kinds[] = {"sheet", "tissue",     "colorant", "stock",  "dropper",
                                        "lamp",  "instrument", "pickup",   "recipe", "offcut"};

Result<void> put_things(const Store& store, CatalogueAnswer& answer) {
  const auto put = [&](std::string_view kind, const record::Query& query) -> Result<void> {
    auto rows = store.current(kind, query);
    if (!rows) return rows.error();
    for (const record::KeptRow& row : *rows) answer.things.push_back(shown(store, row));
    return {};
  };
  for (const char* kind : shared_kinds)
    if (auto done = put(kind, {}); !done) return done;
  if (auto done = put("computation", {{{"verb", Cell{"colorant"}}}, false}); !done) return done;
  leave_out_long(answer.things);
  return {};
}

bool is_loose(const KeptReading& kept) {
  return !kept.sheet && !kept.spot && !kept.loss && !kept.trial && !kept.bath;
}

void put_loose(const KeptReading& kept, LooseReadings& loose, std::set<std::string>& seen) {
  const std::string role(name_of(kept.reading.role));
  ++loose.roles[role.empty() ? "unstated" : role];
  if (seen.insert(kept.reading.name).second) loose.names.push_back(kept.reading.name);
}

Result<void> put_readings(const Store& store, CatalogueAnswer& answer) {
  auto files = record::current<record::ImportedFile>(store);
  if (!files) return files.error();
  std::vector<record::Unreadable> left_out;
  auto readings = record::current<KeptReading>(store, {}, left_out);
  if (!readings) return readings.error();
  for (const record::Unreadable& one : left_out)
    answer.things.push_back(shown_unreadable(store, one));
  std::map<record::Id, std::pair<LooseReadings, std::set<std::string>>> by_file;
  for (const auto& file : *files) by_file[file.id].first = {file.value.name, file.id, {}, {}};
  std::set<std::string> backings;
  for (const auto& kept : *readings) {
    const Role role = kept.value.reading.role;
    if (role == Role::backing || role == Role::substrate) backings.insert(kept.value.reading.name);
    if (!is_loose(kept.value) || !kept.value.file) continue;
    auto& [loose, seen] = by_file[*kept.value.file];
    put_loose(kept.value, loose, seen);
  }
  for (auto& [id, file] : by_file)
    if (!file.first.names.empty()) answer.loose.push_back(std::move(file.first));
  answer.backings.assign(backings.begin(), backings.end());
  return {};
}

Result<void> gather(const Store& store, CatalogueAnswer& answer) {
  for (const record::Kind& kind : record::kinds()) {
    auto count = store.count(kind.name);
    if (!count) return count.error();
    answer.counts.push_back({kind.name, *count});
  }
  if (auto done = put_things(store, answer); !done) return done;
  return put_readings(store, answer);
}

const char* form_of(const record::Column& column) {
  switch (column.form) {
    case record::CellForm::list:
      return "list";
    case record::CellForm::loads:
      return "loads";
    case record::CellForm::outline:
      return "outline";
    case record::CellForm::plain:
      break;
  }
  if (column.type == record::CellType::whole) return column.links_to.empty() ? "whole" : "link";
  return column.type == record::CellType::number ? "number" : "text";
}

}  // namespace

Result<CatalogueAnswer> record_catalogue(const CatalogueRequest& request) {
  auto store = open_record(request.record, Opening::must_exist);
  if (!store) return store.error();
  CatalogueAnswer answer;
  answer.record = request.record;
  auto done = (*store)->reading_together([&] { return gather(**store, answer); });
  if (!done) return done.error();
  return answer;
}

void leave_out_long(std::vector<Shown>& things) {
  static const std::map<std::string, std::set<std::string>> long_columns{
      {"computation", {"result", "parameters", "inputs", "tables"}},
      {"reading", {"wavelengths_nm", "factor"}},
      {"mean", {"wavelengths_nm", "factor", "of"}},
      {"lamp", {"power_nm", "power"}}};
  for (Shown& thing : things) {
    const auto found = long_columns.find(thing.kind);
    if (found == long_columns.end()) continue;
    thing.columns.erase(
        std::remove_if(thing.columns.begin(), thing.columns.end(),
                       [&](const auto& column) { return found->second.count(column.first) > 0; }),
        thing.columns.end());
  }
}

std::string to_json(const CatalogueAnswer& answer) {
  Json json = document("record.catalogue");
  json["record"] = answer.record;
  json["counts"] = Json::array();
  for (const auto& [kind, count] : answer.counts)
    json["counts"].push_back({{"kind", kind}, {"count", count}});
  json["things"] = Json::array();
  for (const Shown& thing : answer.things) json["things"].push_back(thing_json(thing));
  json["imported"] = Json::array();
  for (const LooseReadings& loose : answer.loose)
    json["imported"].push_back(
        {{"file", loose.file}, {"id", loose.id}, {"roles", loose.roles}, {"names", loose.names}});
  json["backings"] = answer.backings;
  return written(json);
}

bool is_by_hand(std::string_view kind) {
  return record::find_kind(kind) && kind != KeptReading::kind && kind != record::Mean::kind &&
         kind != record::ImportedFile::kind && kind != record::Computation::kind;
}

std::string kinds_as_json() {
  Json kinds = Json::array();
  for (const record::Kind& kind : record::kinds()) {
    Json columns = Json::array();
    for (const record::Column& column : kind.columns)
      columns.push_back({{"name", column.name},
                         {"form", form_of(column)},
                         {"needed", column.required},
                         {"help", column.help},
                         {"links_to", column.links_to},
                         {"one_of", column.one_of}});
    kinds.push_back({{"kind", kind.name},
                     {"help", kind.help},
                     {"by_hand", is_by_hand(kind.name)},
                     {"columns", std::move(columns)}});
  }
  return written(kinds);
}

}  // namespace mendtone::app
