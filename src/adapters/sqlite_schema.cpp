#include "adapters/sqlite_schema.hpp"

#include <iterator>
#include <map>
#include <mutex>

#include "adapters/sqlite_layout.hpp"
#include "mendtone/adapters/sha256.hpp"

namespace mendtone::sqlite {
namespace {

/// Type, name and table of a part of a schema -> its SQL without blanks, which other versions of
/// SQLite may set otherwise.
struct Part {
  std::string type, name, table;
  auto operator<=>(const Part&) const = default;
};
using Schema = std::map<Part, std::string>;

std::string without_blanks(const std::string& sql) {
  std::string text;
  for (const char c : sql)
    if (c != ' ' && c != '\n' && c != '\t' && c != '\r') text += c;
  return text;
}

Result<Schema> schema_of(Connection& connection) {
  auto statement = connection.prepared(
      "SELECT type, name, tbl_name, sql FROM sqlite_schema WHERE name NOT LIKE 'sqlite\\_%' ESCAPE "
      "'\\'");
  if (!statement) return statement.error();
  InUse use(**statement);
  Schema schema;
  int code = SQLITE_ROW;
  while ((code = use->step()) == SQLITE_ROW)
    schema[{use->text(0), use->text(1), use->text(2)}] = without_blanks(use->text(3));
  if (code != SQLITE_DONE) return connection.error(code);
  return schema;
}

std::string hash_of(const Schema& schema) {
  std::string text;
  for (const auto& [part, sql] : schema)
    text += part.type + '|' + part.name + '|' + part.table + '|' + sql + '\n';
  return sha256(text);
}

/// Ours, made once a layout.
Result<const Schema*> our_schema(int layout) {
  static std::mutex mutex;
  static std::map<int, Schema> known;
  const std::lock_guard lock(mutex);
  if (const auto found = known.find(layout); found != known.end()) return &found->second;
  auto connection = Connection::open(":memory:", Access::write, "");
  if (!connection) return connection.error();
  if (auto made = take_steps(**connection, layout); !made) return made.error();
  auto schema = schema_of(**connection);
  if (!schema) return schema.error();
  return &(known[layout] = *std::move(schema));
}

std::string called(const Part& part) {
  const std::string what = part.type == "trigger" ? "guard" : part.type;
  return "the " + what + " '" + part.name + "'" +
         (part.name == part.table ? "" : " on '" + part.table + "'");
}

/// The tables that nothing guards yet.
Result<std::vector<std::string>> unguarded_tables(Connection& connection) {
  // Not kept: it must be done before the layout changes.
  sqlite3_stmt* raw = nullptr;
  const char* sql =
      "SELECT s.name FROM sqlite_schema s WHERE s.type = 'table' AND NOT EXISTS "
      "(SELECT 1 FROM sqlite_schema t WHERE t.type = 'trigger' AND t.tbl_name = s.name)";
  if (const int code = sqlite3_prepare_v2(connection.handle(), sql, -1, &raw, nullptr))
    return connection.error(code);
  Statement statement(raw);
  std::vector<std::string> names;
  int code = SQLITE_ROW;
  while ((code = statement.step()) == SQLITE_ROW) names.push_back(statement.text(0));
  if (code != SQLITE_DONE) return connection.error(code);
  return names;
}

/// What makes a table append-only.
std::string guards(const std::string& table) {
  std::string sql = "CREATE TRIGGER " + table + "_no_change BEFORE UPDATE ON " + table +
                    " BEGIN SELECT RAISE(ABORT, 'nothing in a record is changed: keep a "
                    "correction'); END;\nCREATE TRIGGER " +
                    table + "_no_removal BEFORE DELETE ON " + table +
                    " BEGIN SELECT RAISE(ABORT, 'nothing is taken out of a record: withdraw "
                    "it'); END;\n";
  if (table == "entry" || table == "kept_bytes" || table == "origin") return sql;
  return sql + "CREATE TRIGGER " + table + "_correction BEFORE INSERT ON " + table +
         " WHEN NEW.replaces IS NOT NULL BEGIN SELECT RAISE(ABORT, 'a correction points at a row "
         "of the same thing') WHERE NOT EXISTS (SELECT 1 FROM " +
         table +
         " WHERE row = NEW.replaces AND id = NEW.id); SELECT RAISE(ABORT, 'a correction says why') "
         "WHERE (SELECT why FROM entry WHERE row = NEW.entry) = ''; END;\n";
}

}  // namespace

Result<void> take_steps(Connection& connection, int layout) {
  auto from = connection.whole("PRAGMA user_version");
  if (!from) return from.error();
  for (auto step = static_cast<int>(*from); step < layout; ++step) {
    if (auto run = connection.run(std::string(layout_steps[step])); !run) return run;
    auto tables = unguarded_tables(connection);
    if (!tables) return tables.error();
    for (const std::string& table : *tables)
      if (auto run = connection.run(guards(table)); !run) return run;
  }
  return connection.run("PRAGMA user_version=" + std::to_string(layout));
}

Result<std::string> schema_hash(int layout) {
  auto ours = our_schema(layout);
  if (!ours) return ours.error();
  return hash_of(**ours);
}

std::string_view known_schema_hash(int layout) {
  // Frozen, as the layouts are; a test makes them anew.
  constexpr std::string_view known[] = {
      "ec8cd90631ca8c3d42578cae0f4cf8bc5b483505879fbf81324481b29fcb216f",
      "27ad667c13166a5f901563695e80b572f46651e6522c815accaf819a8e6f85f6",
      "6f9085b12e39199b0b70a470d7aae5b8aed75f62fe5f0de8dcb70c56cfc526d5"};
  const auto index = static_cast<std::size_t>(layout) - 1;
  return index < std::size(known) ? known[index] : std::string_view();
}

Result<std::vector<std::string>> foreign_parts(Connection& connection, int layout) {
  auto theirs = schema_of(connection);
  if (!theirs) return theirs.error();
  if (hash_of(*theirs) == known_schema_hash(layout)) return std::vector<std::string>();
  auto ours = our_schema(layout);
  if (!ours) return ours.error();
  std::vector<std::string> found;
  for (const auto& [part, sql] : *theirs) {
    const auto known = (*ours)->find(part);
    if (known == (*ours)->end())
      found.push_back(part.type + " '" + part.name + "'" +
                      (part.name == part.table ? "" : " on '" + part.table + "'") +
                      " is not of mendtone's making");
    else if (known->second != sql)
      found.push_back(called(part) + " was changed");
  }
  for (const auto& [part, sql] : **ours)
    if (!theirs->count(part)) found.push_back(called(part) + " is missing");
  return found;
}

Result<void> drop_foreign_guards(Connection& connection, int layout) {
  auto ours = our_schema(layout);
  if (!ours) return ours.error();
  auto theirs = schema_of(connection);
  if (!theirs) return theirs.error();
  for (const auto& [part, sql] : *theirs) {
    const auto known = (*ours)->find(part);
    if (part.type != "trigger" && part.type != "view") continue;
    if (known != (*ours)->end() && known->second == sql) continue;
    std::string name;
    for (const char c : part.name) name += c == '"' ? std::string(2, c) : std::string(1, c);
    if (auto gone = connection.run("DROP " + part.type + " \"" + name + '"'); !gone) return gone;
  }
  return {};
}

}  // namespace mendtone::sqlite
