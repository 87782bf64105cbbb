#include "adapters/sqlite_connection.hpp"

#include <cerrno>
#include <cstring>

namespace mendtone::sqlite {
namespace {

constexpr int longest_wait_ms = 10000, between_tries_ms = 5;

/// Waits for who holds the record. All who wait look equally often: SQLite's own handler looks ever
/// more seldom, and on a busy machine those who came last got in before those who waited longest.
int wait_for_turn(void*, int tries) {
  if (tries >= longest_wait_ms / between_tries_ms) return 0;
  sqlite3_sleep(between_tries_ms);
  return 1;
}

constexpr const char* in_memory = ":memory:";

/// Percent-encodes what a "file:" URI gives a meaning of its own.
std::string as_uri(const std::string& path) {
  std::string uri = "file:";
  for (char c : path) {
    if (c == '?' || c == '#' || c == '%') {
      constexpr char digits[] = "0123456789ABCDEF";
      uri += '%';
      uri += digits[static_cast<unsigned char>(c) >> 4];
      uri += digits[static_cast<unsigned char>(c) & 15];
    } else {
      uri += c;
    }
  }
  return uri;
}

int open_handle(const std::string& path, Access access, sqlite3** handle) {
  // Another thread's use of one connection is never asked for, but costs little.
  constexpr int always = SQLITE_OPEN_FULLMUTEX;
  if (access == Access::held_still)
    return sqlite3_open_v2((as_uri(path) + "?immutable=1").c_str(), handle,
                           always | SQLITE_OPEN_READONLY | SQLITE_OPEN_URI, nullptr);
  const int way = access == Access::write ? SQLITE_OPEN_READWRITE : SQLITE_OPEN_READONLY;
  const int made = path == in_memory ? SQLITE_OPEN_CREATE : 0;
  return sqlite3_open_v2(path.c_str(), handle, always | way | made, nullptr);
}

}  // namespace

void Statement::bind(int number, const record::Cell& cell) {
  if (const auto* whole = std::get_if<std::int64_t>(&cell))
    sqlite3_bind_int64(statement_.get(), number, *whole);
  else if (const auto* real = std::get_if<double>(&cell))
    sqlite3_bind_double(statement_.get(), number, *real);
  else if (const auto* text = std::get_if<std::string>(&cell))
    bind_text(number, *text);
  else
    sqlite3_bind_null(statement_.get(), number);
}

void Statement::bind_whole(int number, std::int64_t value) {
  sqlite3_bind_int64(statement_.get(), number, value);
}

void Statement::bind_text(int number, std::string_view value) {
  sqlite3_bind_text64(statement_.get(), number, value.data(), value.size(), SQLITE_TRANSIENT,
                      SQLITE_UTF8);
}

void Statement::bind_bytes(int number, std::string_view value) {
  // A null pointer would bind NULL, not an empty blob.
  sqlite3_bind_blob64(statement_.get(), number, value.empty() ? "" : value.data(), value.size(),
                      SQLITE_TRANSIENT);
}

void Statement::reset() {
  sqlite3_reset(statement_.get());
  sqlite3_clear_bindings(statement_.get());
}

record::Cell Statement::cell(int column) const {
  switch (sqlite3_column_type(statement_.get(), column)) {
    case SQLITE_INTEGER:
      return whole(column);
    case SQLITE_FLOAT:
      return sqlite3_column_double(statement_.get(), column);
    case SQLITE_TEXT:
      return text(column);
    default:
      return {};
  }
}

std::int64_t Statement::whole(int column) const {
  return sqlite3_column_int64(statement_.get(), column);
}

std::string Statement::text(int column) const {
  const auto* start = sqlite3_column_text(statement_.get(), column);
  if (!start) return {};
  return {reinterpret_cast<const char*>(start),
          static_cast<std::size_t>(sqlite3_column_bytes(statement_.get(), column))};
}

bool Statement::is_null(int column) const {
  return sqlite3_column_type(statement_.get(), column) == SQLITE_NULL;
}

std::string Statement::bytes(int column) const {
  const void* start = sqlite3_column_blob(statement_.get(), column);
  if (!start) return {};
  return {static_cast<const char*>(start),
          static_cast<std::size_t>(sqlite3_column_bytes(statement_.get(), column))};
}

Result<std::unique_ptr<Connection>> Connection::open(const std::string& path, Access access,
                                                     const std::string& shown_path) {
  for (;;) {
    auto connection = std::make_unique<Connection>();
    connection->path_ = shown_path;
    if (path != in_memory) {
      auto announced = MENDTONE_TRY(SqliteHasOpen::announce(path));
      connection->announced_ = std::move(announced);
    }
    sqlite3* handle = nullptr;
    const int code = open_handle(path, access, &handle);
    connection->handle_.reset(handle);
    if (code != SQLITE_OK) return connection->error(code);
    // Where the name was given to another file meanwhile, that one was not announced.
    if (connection->announced_ && !connection->announced_->is_at(path)) continue;
    sqlite3_extended_result_codes(handle, 1);
    sqlite3_busy_handler(handle, wait_for_turn, nullptr);
    MENDTONE_TRY(connection->run(
        "PRAGMA foreign_keys=ON; PRAGMA recursive_triggers=ON; PRAGMA trusted_schema=OFF;"
        "PRAGMA cell_size_check=ON;"));
    return connection;
  }
}

Result<void> Connection::run(const std::string& sql) {
  const int code = sqlite3_exec(handle(), sql.c_str(), nullptr, nullptr, nullptr);
  if (code != SQLITE_OK) return error(code);
  return {};
}

Result<std::int64_t> Connection::whole(const std::string& sql) {
  auto found = MENDTONE_TRY(text(sql));
  return found.empty() ? 0 : std::stoll(found);
}

Result<std::string> Connection::text(const std::string& sql) {
  auto statement = MENDTONE_TRY(prepared(sql));
  InUse use(*statement);
  const int code = use->step();
  if (code == SQLITE_ROW) return use->text(0);
  if (code == SQLITE_DONE) return std::string();
  return error(code);
}

Result<Statement*> Connection::prepared(const std::string& sql) {
  const auto known = statements_.find(sql);
  if (known != statements_.end()) return &known->second;
  sqlite3_stmt* statement = nullptr;
  const int code = sqlite3_prepare_v3(handle(), sql.c_str(), static_cast<int>(sql.size()),
                                      SQLITE_PREPARE_PERSISTENT, &statement, nullptr);
  if (code != SQLITE_OK) return error(code);
  return &statements_.emplace(sql, Statement(statement)).first->second;
}

Result<void> Connection::finish(InUse& statement) {
  int code = SQLITE_ROW;
  while (code == SQLITE_ROW) code = statement->step();
  if (code != SQLITE_DONE) return error(code);
  return {};
}

bool Connection::out_of_room() const {
  const int code = sqlite3_extended_errcode(handle());
  const int said = sqlite3_system_errno(handle());
  return (code & 0xff) == SQLITE_FULL || said == ENOSPC || said == EDQUOT || said == EFBIG ||
         code == SQLITE_IOERR_SHMSIZE || code == SQLITE_IOERR_SHMOPEN;
}

Error Connection::error(int code) const {
  const std::string said = handle_ ? sqlite3_errmsg(handle()) : sqlite3_errstr(code);
  if (handle_ && (code & 0xff) == SQLITE_IOERR && out_of_room()) code = SQLITE_FULL;
  switch (code & 0xff) {
    case SQLITE_FULL:
      return outside_world(
          "the disk is full: this entry was not kept; everything kept before it is safe", path_);
    case SQLITE_READONLY:
      return outside_world("the record cannot be written here (read-only file or folder)", path_);
    case SQLITE_IOERR:
      return outside_world("the disk failed while the record was in use (" + said +
                               "): this entry was not kept; everything kept before it is safe",
                           path_);
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      return outside_world(
          "another program has held the record for 10 seconds; try again when it is done", path_);
    case SQLITE_CANTOPEN:
      return outside_world("cannot open the record (" + said + ")", path_);
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
      return bad_input("this record is damaged or cut short (" + said +
                           "); it was left as it is: take the last backup, or the last export",
                       path_);
    case SQLITE_CONSTRAINT:
      return bad_input("the record refuses this entry: " + said, path_);
    case SQLITE_TOOBIG:
      return bad_input("this entry is too large for a record", path_);
    default:
      return outside_world("the record could not be used: " + said, path_);
  }
}

}  // namespace mendtone::sqlite
