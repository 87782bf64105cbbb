#include "adapters/sqlite_record_file.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <filesystem>

#include "adapters/open_files.hpp"
#include "adapters/sqlite_layout.hpp"
#include "mendtone/adapters/sqlite_store.hpp"

namespace mendtone::sqlite {
namespace {

Error failed(const std::string& what, const std::string& path) {
  return outside_world(what + ": " + std::strerror(errno), path);
}

bool has_log(const std::string& path) {
  struct stat status {};
  return ::stat((path + "-wal").c_str(), &status) == 0 && status.st_size > 0;
}

std::string folder_of(const std::string& path) {
  const auto folder = std::filesystem::path(path).parent_path();
  return folder.empty() ? "." : folder.string();
}

std::uint32_t big_endian(const unsigned char* at) {
  return std::uint32_t{at[0]} << 24 | std::uint32_t{at[1]} << 16 | std::uint32_t{at[2]} << 8 |
         at[3];
}

/// SQLite forgives a last page that was cut; a record must be as long as its header says. The order
/// matters: with no log after the header was read, no other program can have grown the file late.
Result<void> whole_length(const unsigned char* header, const std::string& path) {
  if (has_log(path)) return {};
  const unsigned raw_size = unsigned{header[16]} << 8 | header[17];
  const std::uint64_t page_size = raw_size == 1 ? 65536 : raw_size;
  struct stat status {};
  if (::stat(path.c_str(), &status) != 0) return failed("cannot read the record", path);
  if (static_cast<std::uint64_t>(status.st_size) >= page_size * big_endian(header + 28)) return {};
  return bad_input("this record is cut short: " + std::to_string(status.st_size) + " bytes of " +
                       std::to_string(page_size * big_endian(header + 28)) +
                       "; it was left as it is: take the last backup, or the last export",
                   path);
}

/// A name that was given to a file is only safe once its folder is on the disk too.
void sync_folder(const std::string& folder) {
  const int descriptor = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (descriptor < 0) return;
  ::fsync(descriptor);
  ::close(descriptor);
}

/// Gives `temporary` its name without ever overwriting; false with errno where that fails.
bool give_name(const std::string& temporary, const std::string& path) {
  if (::link(temporary.c_str(), path.c_str()) == 0) {
    ::unlink(temporary.c_str());
    return true;
  }
  // Sticks and shares without hard links: the gap between the look and the rename stays.
  if (errno == EPERM || errno == EOPNOTSUPP || errno == ENOSYS) {
    struct stat status {};
    if (::stat(path.c_str(), &status) == 0) {
      errno = EEXIST;
      return false;
    }
    return ::rename(temporary.c_str(), path.c_str()) == 0;
  }
  return false;
}

/// An unused name beside `path`, with an empty file of that name and the permissions that the
/// person's umask asks for.
Result<std::string> temporary_beside(const std::string& path) {
  for (int attempt = 0;; ++attempt) {
    const std::string name =
        path + ".new-" + std::to_string(::getpid()) + "-" + std::to_string(attempt);
    const int descriptor = ::open(name.c_str(), O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (descriptor >= 0) {
      ::close(descriptor);
      return name;
    }
    if (errno != EEXIST || attempt == 1000) return failed("cannot write here", path);
  }
}

void remove_all(const std::string& name) {
  for (const char* tail : {"", "-wal", "-shm", "-journal"}) ::unlink((name + tail).c_str());
}

Result<void> fill_new(const std::string& temporary, const std::string& path) {
  auto connection = MENDTONE_TRY(Connection::open(temporary, Access::write, path));
  auto made = connection->run("PRAGMA application_id=" + std::to_string(application_id) +
                              "; PRAGMA user_version=0; PRAGMA encoding='UTF-8';");
  if (!made) return made;
  made = bring_up_to_date(*connection);
  if (!made) return made;
  // After the tables: so that the file is whole before its log exists.
  auto mode = MENDTONE_TRY(connection->text("PRAGMA journal_mode=WAL"));
  if (mode != "wal") return outside_world("this place cannot hold a write-ahead log", path);
  return {};
}

bool can_write(const std::string& path) {
  return ::access(path.c_str(), W_OK) == 0 && ::access(folder_of(path).c_str(), W_OK) == 0;
}

/// A record on a disc or share that cannot be written holds still, so it needs no lock files; one
/// with a log may be in use by somebody else and needs them.
Result<std::unique_ptr<Connection>> open_for_reading(const std::string& path) {
  return Connection::open(path, has_log(path) ? Access::read : Access::held_still, path);
}

Result<void> check_layout(Connection& connection, bool writable) {
  auto layout = MENDTONE_TRY(connection.whole("PRAGMA user_version"));
  const std::string versions = "layout " + std::to_string(layout) + "; this program knows 1 to " +
                               std::to_string(latest_layout);
  if (layout > latest_layout)
    return bad_input(
        "this record was made by a newer mendtone (" + versions + "); it was left as it is",
        connection.path());
  if (layout < 1)
    return bad_input("this record has no layout (" + versions + "); it was left as it is",
                     connection.path());
  if (layout == latest_layout) return {};
  if (!writable)
    return outside_world("this record is of an older layout (" + versions +
                             ") and cannot be brought up to date where it lies: copy it to a "
                             "folder that can be written",
                         connection.path());
  const std::string copy = connection.path() + ".layout-" + std::to_string(layout);
  if (!std::filesystem::exists(copy)) {
    auto copied = copy_record(connection, copy);
    // Another program may be doing the same.
    if (!copied && !std::filesystem::exists(copy)) return copied;
  }
  return bring_up_to_date(connection);
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
  if (table == "entry" || table == "kept_bytes") return sql;
  return sql + "CREATE TRIGGER " + table + "_correction BEFORE INSERT ON " + table +
         " WHEN NEW.replaces IS NOT NULL BEGIN SELECT RAISE(ABORT, 'a correction points at a row "
         "of the same thing') WHERE NOT EXISTS (SELECT 1 FROM " +
         table +
         " WHERE row = NEW.replaces AND id = NEW.id); SELECT RAISE(ABORT, 'a correction says why') "
         "WHERE (SELECT why FROM entry WHERE row = NEW.entry) = ''; END;\n";
}

Result<void> take_steps(Connection& connection) {
  auto layout = MENDTONE_TRY(connection.whole("PRAGMA user_version"));
  for (auto step = static_cast<int>(layout); step < latest_layout; ++step) {
    if (auto run = connection.run(std::string(layout_steps[step])); !run) return run;
    auto tables = MENDTONE_TRY(unguarded_tables(connection));
    for (const std::string& table : tables)
      if (auto run = connection.run(guards(table)); !run) return run;
  }
  return connection.run("PRAGMA user_version=" + std::to_string(latest_layout));
}

}  // namespace

Result<void> examine_header(const std::string& path) {
  auto file = MENDTONE_TRY(RawFile::open(path));
  unsigned char header[100];
  const ssize_t got = file.read_at(header, sizeof header, 0);
  if (got < 0) return failed("cannot read the record", path);
  if (got == 0) return bad_input("this file is empty, not a treatment record", path);
  if (got < 100 || std::memcmp(header, "SQLite format 3", 16) != 0)
    return bad_input("this is not a treatment record; it was left as it is", path);
  if (big_endian(header + 68) != static_cast<std::uint32_t>(application_id))
    return bad_input(
        "this is a database of another program, not a treatment record; it was left "
        "as it is",
        path);
  return whole_length(header, path);
}

Result<void> create_record(const std::string& path) {
  auto temporary = MENDTONE_TRY(temporary_beside(path));
  auto made = fill_new(temporary, path);
  if (made && !give_name(temporary, path) && errno != EEXIST)
    made = failed("cannot make the record", path);
  remove_all(temporary);
  if (made) sync_folder(folder_of(path));
  return made;
}

Result<std::unique_ptr<Connection>> open_existing(const std::string& path) {
  MENDTONE_TRY(examine_header(path));
  const bool writable = can_write(path);
  auto connection = writable ? Connection::open(path, Access::write, path) : open_for_reading(path);
  if (!connection) return connection.error();
  // The first real read: a file that was cut short is found out here, before anything is written.
  MENDTONE_TRY((*connection)->whole("SELECT count(*) FROM sqlite_schema"));
  MENDTONE_TRY(check_layout(**connection, writable));
  if (!writable) return connection;
  MENDTONE_TRY((*connection)->text("PRAGMA journal_mode=WAL"));
  return connection;
}

Result<void> bring_up_to_date(Connection& connection) {
  if (auto begun = connection.run("BEGIN IMMEDIATE"); !begun) return begun;
  auto done = take_steps(connection);
  if (done) done = connection.run("COMMIT");
  if (!done) (void)connection.run("ROLLBACK");
  return done;
}

Result<void> copy_record(Connection& from, const std::string& copy) {
  if (std::filesystem::exists(copy))
    return bad_request("a backup never overwrites: this file is already there", copy);
  auto temporary = MENDTONE_TRY(temporary_beside(copy));
  auto copied = [&]() -> Result<void> {
    auto to = MENDTONE_TRY(Connection::open(temporary, Access::write, copy));
    sqlite3_backup* backup = sqlite3_backup_init(to->handle(), "main", from.handle(), "main");
    if (!backup) return to->error(sqlite3_errcode(to->handle()));
    int code = SQLITE_OK;
    while (code == SQLITE_OK || code == SQLITE_BUSY || code == SQLITE_LOCKED) {
      if (code != SQLITE_OK) sqlite3_sleep(20);
      code = sqlite3_backup_step(backup, -1);
    }
    sqlite3_backup_finish(backup);
    if (code != SQLITE_DONE) return to->error(code);
    auto sound = MENDTONE_TRY(to->text("PRAGMA integrity_check(1)"));
    if (sound != "ok") return bad_input("the copy is not sound: " + sound, copy);
    return {};
  }();
  if (copied && !give_name(temporary, copy)) copied = failed("cannot make the backup", copy);
  remove_all(temporary);
  if (copied) sync_folder(folder_of(copy));
  return copied;
}

}  // namespace mendtone::sqlite
