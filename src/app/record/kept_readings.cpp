#include "app/record/kept_readings.hpp"

#include "app/inputs/json.hpp"

namespace mendtone::app {
namespace {

constexpr std::string_view start = "{\"schema\":\"mendtone.kept_readings\",";

Json cell_json(const record::Cell& cell) {
  if (const auto* whole = std::get_if<std::int64_t>(&cell)) return *whole;
  if (const auto* number = std::get_if<double>(&cell)) return *number;
  if (const auto* text = std::get_if<std::string>(&cell)) return *text;
  return nullptr;
}

record::Cell cell_from(const Json& json, record::CellType type) {
  if (json.is_string()) return json.get<std::string>();
  if (type == record::CellType::whole)
    if (const auto whole = json_whole(json)) return *whole;
  if (json.is_number()) return json.get<double>();
  return {};
}

}  // namespace

std::string to_kept_json(const std::vector<record::Kept<record::KeptReading>>& readings,
                         const std::vector<std::string>& notes) {
  Json rows = Json::array();
  for (const auto& kept : readings) {
    Json cells = Json::array();
    for (const record::Cell& cell : to_row(kept.value).cells) cells.push_back(cell_json(cell));
    rows.push_back({{"id", kept.id}, {"cells", std::move(cells)}});
  }
  Json columns = Json::array();
  for (const auto& column : record::find_kind("reading")->columns) columns.push_back(column.name);
  Json json{{"schema", "mendtone.kept_readings"},
                  {"version", 1},
                  {"columns", std::move(columns)},
                  {"readings", std::move(rows)}};
  if (!notes.empty()) json["notes"] = notes;
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

bool is_kept_json(std::string_view bytes) {
  return bytes.substr(0, start.size()) == start;
}

std::vector<std::string> notes_in_kept_json(std::string_view bytes) {
  std::vector<std::string> notes;
  if (const auto document = json_from(bytes, "notes"))
    for (const Json& note : json_member(*document, "notes"))
      if (note.is_string()) notes.push_back(note.get<std::string>());
  return notes;
}

Result<std::vector<Reading>> readings_from_kept_json(std::string_view bytes,
                                                     const std::string& name) {
  const Error damaged = bad_input("these readings from a record cannot be understood", name);
  const auto document = json_from(bytes, name);
  if (!document) return document.error();
  const Json &columns = json_member(*document, "columns"),
             &rows = json_member(*document, "readings");
  if (!columns.is_array() || !rows.is_array()) return damaged;
  const record::Kind& kind = *record::find_kind("reading");
  // By name, so that columns may join in later layouts.
  std::vector<std::size_t> places;
  for (const Json& column : columns)
    places.push_back(column.is_string() ? kind.position(column.get<std::string>())
                                        : kind.columns.size());
  std::vector<Reading> readings;
  for (const Json& row : rows) {
    const Json& written = json_member(row, "cells");
    if (!written.is_array() || written.size() != places.size()) return damaged;
    record::Row cells{"reading", std::vector<record::Cell>(kind.columns.size())};
    for (std::size_t i = 0; i < places.size(); ++i)
      if (places[i] < kind.columns.size())
        cells.cells[places[i]] = cell_from(written[i], kind.columns[places[i]].type);
    record::KeptReading kept;
    if (auto read = record::from_row(cells, kept); !read) return read.error();
    readings.push_back(std::move(kept.reading));
  }
  return readings;
}

}  // namespace mendtone::app
