#include <algorithm>
#include <set>

#include "bench/desk.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/app/record/catalogue.hpp"
#include "mendtone/app/record/record.hpp"
#include "mendtone/colour/light.hpp"
#include "mendtone/results/documents.hpp"
#include "mendtone/results/walk.hpp"

// What the record holds: shown, kept, corrected, withdrawn.
namespace mendtone::bench {
namespace {

/// A cell as a person writes it; a list, loads or an outline may come as JSON.
Result<std::string> cell_text(const Json& value, const std::string& column) {
  if (value.is_null()) return std::string();
  if (value.is_string()) return value.get<std::string>();
  if (value.is_number() || value.is_array() || value.is_object()) return value.dump();
  return bad_input("expected text, a number or nothing", column);
}

Result<app::Written> columns_in(const Json& object) {
  const auto found = object.find("columns");
  if (found == object.end() || !found->is_object())
    return bad_input("expected {column: text}", "columns");
  app::Written columns;
  for (const auto& [name, value] : found->items()) {
    auto text = cell_text(value, name);
    if (!text) return text.error();
    columns.push_back({name, *std::move(text)});
  }
  return columns;
}

bool same_number(const record::Cell& cell, const std::string& text) {
  const record::Column column{"",    record::CellType::number, "", "", {},
                              false, record::CellForm::plain};
  const auto typed = record::parse_cell(text, column);
  if (!typed) return false;
  if (const auto* number = std::get_if<double>(&cell)) return *typed == record::Cell{*number};
  if (const auto* whole = std::get_if<std::int64_t>(&cell))
    return *typed == record::Cell{static_cast<double>(*whole)};
  return false;
}

/// Whether `text` says what the thing says already: a form sends whole rows.
bool stands_already(const app::Shown& thing, const std::string& name, const std::string& text) {
  const auto cell = std::find_if(thing.columns.begin(), thing.columns.end(),
                                 [&](const auto& column) { return column.first == name; });
  if (cell == thing.columns.end()) return text.empty();
  const std::string kept = record::text_of(cell->second);
  for (const auto& [column, linked] : thing.links)
    if (column == name) return text == linked || text == kept || text == "#" + kept;
  if (text == kept || same_number(cell->second, text)) return true;
  const auto one = json_from(text), other = json_from(kept);
  return one && other && one->is_structured() && *one == *other;
}

Result<void> leave_out_unchanged(const Desk& desk, app::KeepRequest& request) {
  auto past = app::record_history({desk.record, request.kind, request.thing});
  if (!past) return past.error();
  const app::Shown& now = past->things.back();
  auto& columns = request.columns;
  columns.erase(std::remove_if(columns.begin(), columns.end(),
                               [&](const auto& column) {
                                 return stands_already(now, column.first, column.second);
                               }),
                columns.end());
  if (columns.empty()) return bad_input("nothing was changed: all of this stands there already");
  return {};
}

/// What only the program may say: where a photograph lies and its hash are found when it is
/// brought; a lamp comes as its lines, since a file's name would be read from the disk.
Result<void> check_columns(const app::KeepRequest& request) {
  for (const auto& [name, text] : request.columns) {
    if (request.kind == "photograph" && (name == "path" || name == "sha256"))
      return bad_input("the program itself enters this when a photograph is brought", name);
    if (request.kind == "lamp" && name == "power" && text.find('\n') == std::string::npos)
      return bad_input("expected the lines of a lamp file: wavelength in nm and power", name);
  }
  if (request.kind == "photograph" && request.thing.empty())
    return bad_input("bring the picture itself: it is kept and entered in one go", "photograph");
  return {};
}

Result<void> check_kind(const std::string& kind) {
  if (app::is_by_hand(kind)) return {};
  return bad_input("things of this kind are not entered by hand", kind);
}

Result<app::KeepRequest> keep_request(const Desk& desk, const std::string& body) {
  auto object = object_in(body);
  if (!object) return object.error();
  app::KeepRequest request;
  request.record = desk.record;
  std::string by, why;
  for (const auto& [name, to] : {std::pair<const char*, std::string*>{"kind", &request.kind},
                                 {"thing", &request.thing},
                                 {"by", &by},
                                 {"why", &why}}) {
    auto text = text_in(*object, name);
    if (!text) return text.error();
    *to = *std::move(text);
  }
  const auto seen = object->find("seen_row");
  if (seen != object->end() && !seen->is_null()) {
    if (!seen->is_number_unsigned()) return bad_input("expected the number of a row", "seen_row");
    request.seen_row = seen->get<std::int64_t>();
  }
  if (auto sound = check_kind(request.kind); !sound) return sound.error();
  auto entry = entry_by(desk, by, why);
  if (!entry) return entry.error();
  request.entry = *entry;
  auto columns = columns_in(*object);
  if (!columns) return columns.error();
  request.columns = *std::move(columns);
  if (!request.thing.empty())
    if (auto done = leave_out_unchanged(desk, request); !done) return done.error();
  if (auto sound = check_columns(request); !sound) return sound.error();
  return request;
}

Result<std::vector<std::string>> texts_in(const Json& object, const char* name) {
  std::vector<std::string> texts;
  const auto found = object.find(name);
  if (found == object.end() || found->is_null()) return texts;
  if (!found->is_array()) return bad_input("expected a list of texts", name);
  for (const Json& one : *found) {
    if (!one.is_string()) return bad_input("expected a list of texts", name);
    texts.push_back(one.get<std::string>());
  }
  return texts;
}

Json parsed(const std::string& text) {
  auto json = json_from(text);
  return json ? *std::move(json) : Json();
}

}  // namespace

Result<void> only_what_is_said(const app::Written& columns) {
  static const std::set<std::string> said{
      "name",  "role",       "backing", "plies",    "side",         "state",
      "stage", "condition",  "lot",     "stock",    "sheet",        "spot",
      "loss",  "bath",       "tissue",  "trial",    "loads",        "load_unit",
      "taken", "instrument", "series",  "geometry", "operator_name"};
  if (columns.empty()) return bad_input("say what is to be corrected", "columns");
  for (const auto& column : columns)
    if (!said.count(column.first))
      return bad_input("what was read stays as it was read; only what is said of it is corrected",
                       column.first);
  return {};
}

Reply record_call(Desk& desk) {
  auto catalogue = app::record_catalogue({desk.record});
  if (!catalogue) return refusal(catalogue.error());
  Json json = json_of_ours(to_json(*catalogue));
  json["program_version"] = desk.program;
  json["lights"] = standard_light_names();
  json["kinds"] = json_of_ours(app::kinds_as_json());
  return as_json(json);
}

Reply sheet_call(Desk& desk, const Asked& asked) {
  const std::string name = asked.value("name");
  if (name.empty()) return refusal(400, "say which sheet", "name");
  auto sheet = app::record_show({desk.record, name});
  if (!sheet) return refusal(sheet.error());
  app::leave_out_long(sheet->things);
  return as_json(to_json(*sheet));
}

Reply history_call(Desk& desk, const Asked& asked) {
  return reply_of(app::record_history({desk.record, asked.value("kind"), asked.value("thing")}));
}

Reply find_call(Desk& desk, const Asked& asked) {
  app::FindRequest request{desk.record, {}};
  std::string word;
  for (char c : asked.value("words") + ' ') {
    if (c != ' ') {
      word += c;
    } else if (!word.empty()) {
      request.words.push_back(std::move(word));
      word.clear();
    }
  }
  if (request.words.empty()) return refusal(400, "say what to look for", "words");
  auto found = app::record_find(request);
  if (!found) return refusal(found.error());
  app::leave_out_long(found->things);
  return as_json(to_json(*found));
}

Reply keep_call(Desk& desk, const std::string& body) {
  auto request = keep_request(desk, body);
  if (!request) return refusal(request.error());
  auto kept = app::record_keep(*request);
  // What she saw is no longer what stands there.
  if (!kept && kept.error().where == "seen_row")
    return refusal(409, kept.error().message, kept.error().where);
  return reply_of(kept);
}

/// Many readings at once: by their numbers, or all that came with a file.
Reply correct_all_call(Desk& desk, const std::string& body) {
  auto object = object_in(body);
  if (!object) return refusal(object.error());
  std::map<std::string, std::string> said;
  for (const char* name : {"file", "why", "by"}) {
    auto text = text_in(*object, name);
    if (!text) return refusal(text.error());
    said[name] = *std::move(text);
  }
  auto things = texts_in(*object, "things");
  if (!things) return refusal(things.error());
  auto columns = columns_in(*object);
  if (!columns) return refusal(columns.error());
  if (auto sound = only_what_is_said(*columns); !sound) return refusal(sound.error());
  auto entry = entry_by(desk, said["by"], said["why"]);
  if (!entry) return refusal(entry.error());
  return reply_of(app::record_correct_all(
      {desk.record, *entry, "reading", *std::move(things), said["file"], *std::move(columns)}));
}

Reply withdraw_call(Desk& desk, const std::string& body) {
  auto object = object_in(body);
  if (!object) return refusal(object.error());
  std::map<std::string, std::string> said;
  for (const char* name : {"kind", "thing", "why", "by"}) {
    auto text = text_in(*object, name);
    if (!text) return refusal(text.error());
    said[name] = *std::move(text);
  }
  auto entry = entry_by(desk, said["by"], said["why"]);
  if (!entry) return refusal(entry.error());
  return reply_of(app::record_withdraw({desk.record, *entry, said["kind"], said["thing"]}));
}

namespace {

/// An answer under the names that it has today, which are all that the page knows; as it stands
/// where it was never another's.
Json under_names_of_today(const std::string& answer) {
  const auto head = results::head_of(answer, "result");
  if (!head) return parsed(answer);
  for (const results::Type* type : results::documents()) {
    if (type->schema != head->schema || type->version <= head->version) continue;
    const results::Value value = results::fresh(*type);
    if (results::from_json(*type, answer, "result", results::Reading::document, value.data.get()))
      return parsed(results::to_json(*type, value.data.get()));
  }
  return parsed(answer);
}

}  // namespace

Reply result_call(Desk& desk, const Asked& asked) {
  auto store = open_record(desk.record, Opening::must_exist);
  if (!store) return refusal(store.error());
  auto kept = record::get<record::Computation>(**store, std::stoll(asked.parts.front()));
  if (!kept) return refusal(404, kept.error().message);
  const auto& value = kept->value;
  return as_json(Json{{"id", kept->id},
                      {"verb", value.verb},
                      {"name", value.name},
                      {"outcome", value.outcome},
                      {"parameters", parsed(value.parameters)},
                      {"result", under_names_of_today(value.result)},
                      {"entry",
                       {{"who", kept->entry.who},
                        {"when", kept->entry.when},
                        {"why", kept->entry.why},
                        {"program", kept->entry.program}}}});
}

}  // namespace mendtone::bench
