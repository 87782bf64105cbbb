#include <filesystem>

#include "adapters/sqlite_faults.hpp"
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
  auto statement = connection.prepared("SELECT " + listed_columns(table) + " FROM " +
                                       in_quotes(table.name) + " ORDER BY row");
  if (!statement) return statement.error();
  InUse use(**statement);
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
  auto statement = connection.prepared("SELECT sha256, bytes FROM kept_bytes ORDER BY sha256");
  if (!statement) return statement.error();
  InUse use(**statement);
  int code = SQLITE_ROW;
  while ((code = use->step()) == SQLITE_ROW)
    if (auto kept = keep(use->text(0), use->bytes(1)); !kept) return kept;
  if (code != SQLITE_DONE) return connection.error(code);
  return {};
}

Result<void> write_rows(Connection& connection, const RecordTable& table) {
  std::string marks;
  for (std::size_t i = 0; i < table.columns.size(); ++i) marks += i == 0 ? "?" : ", ?";
  auto statement = connection.prepared("INSERT INTO " + in_quotes(table.name) + " (" +
                                       listed_columns(table) + ") VALUES (" + marks + ")");
  if (!statement) return statement.error();
  for (const auto& row : table.rows) {
    InUse use(**statement);
    for (std::size_t i = 0; i < row.size(); ++i) {
      // An entry's reason and program are never NULL, only empty.
      const bool empty_text = table.name == "entry" && table.columns[i].name != "seal" &&
                              std::holds_alternative<std::monostate>(row[i]);
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
  auto statement = connection.prepared("INSERT INTO kept_bytes (sha256, bytes) VALUES (?, ?)");
  if (!statement) return statement.error();
  for (const std::string& bytes : kept_bytes) {
    InUse use(**statement);
    use->bind_text(1, sha256(bytes));
    use->bind_bytes(2, bytes);
    if (auto done = connection.finish(use); !done) return done;
  }
  return {};
}

Result<void> fill(Connection& connection, const std::vector<RecordTable>& tables,
                  const std::vector<std::string>& kept_bytes) {
  // Kinds link to each other in circles: whether all links lead somewhere is asked at the end.
  auto done = connection.run("PRAGMA defer_foreign_keys=ON");
  for (const RecordTable& table : tables)
    if (done) done = write_rows(connection, table);
  if (done) done = write_bytes(connection, kept_bytes);
  if (!done) return done;
  auto faults = sqlite::faults_of(connection);
  if (!faults) return faults.error();
  if (faults->empty()) return {};
  return bad_input("these tables do not make a sound record: " + faults->front(),
                   connection.path());
}

}  // namespace

std::vector<RecordTable> empty_record_tables() {
  std::vector<RecordTable> tables{
      {"entry",
       {whole_column("row", true), text_column("who"), text_column("at"), text_column("why"),
        text_column("program"), text_column("seal")},
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
  // Last: once it is there, no entry without a seal is taken.
  tables.push_back({"origin",
                    {whole_column("row", true), text_column("id"),
                     whole_column("found_entries", true), text_column("found_seal")},
                    {}});
  return tables;
}

Result<std::vector<RecordTable>> record_tables(
    const std::string& path,
    const std::function<Result<void>(const std::string&, const std::string&)>& keep) {
  auto connection = sqlite::open_existing(path);
  if (!connection) return connection.error();
  if (auto begun = (*connection)->run("BEGIN"); !begun) return begun.error();
  std::vector<RecordTable> tables = empty_record_tables();
  for (RecordTable& table : tables)
    if (auto read = read_rows(**connection, table); !read) return read.error();
  if (auto read = read_bytes(**connection, keep); !read) return read.error();
  (void)(*connection)->run("ROLLBACK");
  return tables;
}

Result<void> record_from_tables(const std::string& path, const std::vector<RecordTable>& tables,
                                const std::vector<std::string>& kept_bytes) {
  // Looked at here too, before anything is made.
  if (std::filesystem::exists(path))
    return bad_request("a record is never overwritten: this file is already there", path);
  return sqlite::create_record(
      path, [&](Connection& connection) { return fill(connection, tables, kept_bytes); });
}

}  // namespace mendtone
