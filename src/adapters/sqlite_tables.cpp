#include <unistd.h>

#include <filesystem>

#include "adapters/sqlite_record_file.hpp"
#include "mendtone/adapters/record_tables.hpp"
#include "mendtone/adapters/sha256.hpp"
#include "mendtone/adapters/sqlite_store.hpp"

namespace mendtone {
namespace {

using record::CellType;
using record::Column;
using sqlite::Connection;
using sqlite::InUse;

Column whole_column(const char* name, bool required) {
  Column column;
  column.name = name;
  column.type = CellType::whole;
  column.required = required;
  return column;
}

Column text_column(const char* name) {
  Column column;
  column.name = name;
  return column;
}

std::string in_quotes(const std::string& name) {
  return '"' + name + '"';
}

std::string listed_columns(const RecordTable& table) {
  std::string list;
  for (const Column& column : table.columns)
    list += (list.empty() ? "" : ", ") + in_quotes(column.name);
  return list;
}

Result<void> read_rows(Connection& connection, RecordTable& table) {
  auto statement = MENDTONE_TRY(connection.prepared("SELECT " + listed_columns(table) + " FROM " +
                                                    in_quotes(table.name) + " ORDER BY row"));
  InUse use(*statement);
  int code = SQLITE_ROW;
  while ((code = use->step()) == SQLITE_ROW) {
    auto& row = table.rows.emplace_back();
    for (std::size_t i = 0; i < table.columns.size(); ++i)
      row.push_back(use->cell(static_cast<int>(i)));
  }
  if (code != SQLITE_DONE) return connection.error(code);
  return {};
}

Result<void> read_bytes(
    Connection& connection,
    const std::function<Result<void>(const std::string&, const std::string&)>& keep) {
  auto statement =
      MENDTONE_TRY(connection.prepared("SELECT sha256, bytes FROM kept_bytes ORDER BY sha256"));
  InUse use(*statement);
  int code = SQLITE_ROW;
  while ((code = use->step()) == SQLITE_ROW)
    if (auto kept = keep(use->text(0), use->bytes(1)); !kept) return kept;
  if (code != SQLITE_DONE) return connection.error(code);
  return {};
}

Result<void> write_rows(Connection& connection, const RecordTable& table) {
  std::string marks;
  for (std::size_t i = 0; i < table.columns.size(); ++i) marks += i == 0 ? "?" : ", ?";
  auto statement =
      MENDTONE_TRY(connection.prepared("INSERT INTO " + in_quotes(table.name) + " (" +
                                       listed_columns(table) + ") VALUES (" + marks + ")"));
  for (const auto& row : table.rows) {
    InUse use(*statement);
    for (std::size_t i = 0; i < row.size(); ++i) {
      // An entry's reason and program are never NULL, only empty.
      const bool empty_text =
          table.name == "entry" && std::holds_alternative<std::monostate>(row[i]);
      if (empty_text)
        use->bind_text(static_cast<int>(i) + 1, "");
      else
        use->bind(static_cast<int>(i) + 1, row[i]);
    }
    if (auto done = connection.finish(use); !done) return done;
  }
  return {};
}

Result<void> write_bytes(Connection& connection, const std::vector<std::string>& kept_bytes) {
  auto statement =
      MENDTONE_TRY(connection.prepared("INSERT INTO kept_bytes (sha256, bytes) VALUES (?, ?)"));
  for (const std::string& bytes : kept_bytes) {
    InUse use(*statement);
    use->bind_text(1, sha256(bytes));
    use->bind_bytes(2, bytes);
    if (auto done = connection.finish(use); !done) return done;
  }
  return {};
}

Result<void> fill(const std::string& path, const std::vector<RecordTable>& tables,
                  const std::vector<std::string>& kept_bytes) {
  auto connection = MENDTONE_TRY(sqlite::open_existing(path));
  // Kinds link to each other in circles: whether all links lead somewhere is asked at the end.
  auto done = connection->run("BEGIN IMMEDIATE; PRAGMA defer_foreign_keys=ON;");
  if (!done) return done;
  for (const RecordTable& table : tables)
    if (done) done = write_rows(*connection, table);
  if (done) done = write_bytes(*connection, kept_bytes);
  if (done) done = connection->run("COMMIT");
  return done;
}

void remove_record(const std::string& path) {
  for (const char* tail : {"", "-wal", "-shm"}) ::unlink((path + tail).c_str());
}

}  // namespace

std::vector<RecordTable> empty_record_tables() {
  std::vector<RecordTable> tables{{"entry",
                                   {whole_column("row", true), text_column("who"),
                                    text_column("at"), text_column("why"), text_column("program")},
                                   {}}};
  for (const record::Kind& kind : record::kinds()) {
    RecordTable table{
        kind.name,
        {whole_column("row", true), whole_column("id", true), whole_column("replaces", false),
         whole_column("withdrawn", true), whole_column("entry", true)},
        {}};
    table.columns.insert(table.columns.end(), kind.columns.begin(), kind.columns.end());
    tables.push_back(std::move(table));
  }
  return tables;
}

Result<std::vector<RecordTable>> record_tables(
    const std::string& path,
    const std::function<Result<void>(const std::string&, const std::string&)>& keep) {
  auto connection = MENDTONE_TRY(sqlite::open_existing(path));
  MENDTONE_TRY(connection->run("BEGIN"));
  std::vector<RecordTable> tables = empty_record_tables();
  for (RecordTable& table : tables) MENDTONE_TRY(read_rows(*connection, table));
  MENDTONE_TRY(read_bytes(*connection, keep));
  (void)connection->run("ROLLBACK");
  return tables;
}

Result<void> record_from_tables(const std::string& path, const std::vector<RecordTable>& tables,
                                const std::vector<std::string>& kept_bytes) {
  if (std::filesystem::exists(path))
    return bad_request("a record is never overwritten: this file is already there", path);
  // Filled beside its place, then copied whole: the name appears with everything in it.
  const std::string beside = path + ".restoring-" + std::to_string(::getpid());
  if (auto made = sqlite::create_record(beside); !made) return made;
  auto done = fill(beside, tables, kept_bytes);
  if (done) {
    auto faults = check_record_file(beside);
    if (!faults)
      done = faults.error();
    else if (!faults->empty())
      done = bad_input("these tables do not make a sound record: " + faults->front(), path);
  }
  if (done) done = back_up_record(beside, path);
  remove_record(beside);
  return done;
}

}  // namespace mendtone
