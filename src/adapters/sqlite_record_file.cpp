#include "adapters/sqlite_record_file.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <filesystem>
#include <functional>

#include "adapters/open_files.hpp"
#include "adapters/sqlite_held.hpp"
#include "adapters/sqlite_layout.hpp"
#include "adapters/sqlite_place.hpp"
#include "adapters/sqlite_schema.hpp"
#include "adapters/sqlite_seals.hpp"
#include "mendtone/adapters/sqlite_store.hpp"

namespace mendtone::sqlite {
namespace {

Error failed(const std::string& what, const std::string& path) {
  return outside_world(what + ": " + std::strerror(errno), path);
}

/// A log, of either kind, that belongs to the file.
bool has_log(const std::string& path) {
  struct stat status {};
  for (const char* tail : {"-wal", "-journal"})
    if (::stat((path + tail).c_str(), &status) == 0 && status.st_size > 0) return true;
  return false;
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

/// A record that was moved while it was in use leaves its log behind, with entries in it; SQLite
/// would write that into whatever gets its name.
Result<void> free_of_logs(const std::string& path) {
  if (!has_log(path)) return {};
  return bad_request(
      "beside this name lies the log of a record that was moved away while it was in use (" + path +
          "-wal or -journal): put that record back under this name first, or choose another name",
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

/// What is acknowledged is on the disk. A pragma that reads the file, so that it comes after the
/// choice of locks.
Result<void> sync_fully(Connection& connection) {
  return connection.run("PRAGMA synchronous=FULL");
}

/// A record that is filled from an export brings its own seals, unless it is older than they are.
Result<void> begin_seals_where_there_are_none(Connection& connection) {
  auto there = connection.whole("SELECT count(*) FROM origin");
  if (!there) return there.error();
  return *there > 0 ? Result<void>() : begin_seals(connection);
}

Result<void> fill_new(const std::string& temporary, const std::string& path,
                      const std::function<Result<void>(Connection&)>& fill) {
  auto opened = Connection::open(temporary, Access::write, path);
  if (!opened) return opened.error();
  Connection& connection = **opened;
  MENDTONE_TRY(sync_fully(connection));
  auto made = connection.run("PRAGMA application_id=" + std::to_string(application_id) +
                             "; PRAGMA user_version=0; PRAGMA encoding='UTF-8'; BEGIN IMMEDIATE;");
  if (made) made = take_steps(connection, latest_layout);
  if (made && fill) made = fill(connection);
  if (made) made = begin_seals_where_there_are_none(connection);
  if (made) made = connection.run("COMMIT");
  if (!made || network_of(path)) return made;
  // After the tables: so that the file is whole before its log exists.
  auto mode = connection.text("PRAGMA journal_mode=WAL");
  if (!mode) return mode.error();
  if (*mode != "wal") return outside_world("this place cannot hold a write-ahead log", path);
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

/// The first real read: a file that was cut short is found out here, before anything is written.
Result<void> first_read(Connection& connection) {
  auto tables = connection.whole("SELECT count(*) FROM sqlite_schema");
  if (!tables) return tables.error();
  return {};
}

/// Where there is no room for the files that SQLite lays beside a record, it can still be read by
/// one program alone, without them.
Result<std::unique_ptr<Connection>> open_without_room(const std::string& path, const Error& why) {
  auto connection = Connection::open(path, Access::write, path);
  if (!connection) return connection;
  auto read = (*connection)->run("PRAGMA locking_mode=EXCLUSIVE");
  if (read) read = first_read(**connection);
  if (!read && !has_log(path)) {
    connection = Connection::open(path, Access::held_still, path);
    if (!connection) return connection;
    read = first_read(**connection);
  }
  if (!read) return why;
  (*connection)
      ->read_only_because(
          "the disk is full: the record can be read, and nothing can be kept until there is room");
  return connection;
}

Result<std::unique_ptr<Connection>> open_for_writing(const std::string& path,
                                                     const Header& header) {
  auto connection = Connection::open(path, Access::write, path);
  if (!connection) return connection;
  // The memory that programs of one machine share for a write-ahead log is none between machines.
  if (header.write_ahead && network_of(path))
    if (auto alone = (*connection)->run("PRAGMA locking_mode=EXCLUSIVE"); !alone)
      return alone.error();
  auto read = first_read(**connection);
  if (read) {
    MENDTONE_TRY(sync_fully(**connection));
    return connection;
  }
  if (!(*connection)->out_of_room()) return read.error();
  connection->reset();
  return open_without_room(path, read.error());
}

Result<void> copy_pages(Connection& from, Connection& to) {
  sqlite3_backup* backup = sqlite3_backup_init(to.handle(), "main", from.handle(), "main");
  if (!backup) return to.error(sqlite3_errcode(to.handle()));
  int code = SQLITE_OK;
  while (code == SQLITE_OK || code == SQLITE_BUSY || code == SQLITE_LOCKED) {
    if (code != SQLITE_OK) sqlite3_sleep(20);
    code = sqlite3_backup_step(backup, -1);
  }
  sqlite3_backup_finish(backup);
  if (code != SQLITE_DONE) return to.error(code);
  return {};
}

/// The same record in memory, of the latest layout and without what is foreign in it, to read.
Result<std::unique_ptr<Connection>> copied_into_memory(Connection& from, int layout) {
  auto copy = Connection::open(":memory:", Access::write, from.path());
  if (!copy) return copy;
  if (auto copied = copy_pages(from, **copy); !copied) return copied.error();
  if (auto dropped = drop_foreign_guards(**copy, layout); !dropped) return dropped.error();
  if (auto stepped = bring_up_to_date(**copy); !stepped) return stepped.error();
  return copy;
}

std::string listed(const std::vector<std::string>& words) {
  constexpr std::size_t most = 5;
  std::string text;
  for (std::size_t i = 0; i < words.size() && i < most; ++i)
    text += (i == 0 ? "" : "; ") + words[i];
  if (words.size() > most) text += "; and " + std::to_string(words.size() - most) + " more";
  return text;
}

Result<int> known_layout(Connection& connection) {
  auto layout = connection.whole("PRAGMA user_version");
  if (!layout) return layout.error();
  const std::string versions = "layout " + std::to_string(*layout) + "; this program knows 1 to " +
                               std::to_string(latest_layout);
  if (*layout > latest_layout)
    return bad_input(
        "this record was made by a newer mendtone (" + versions + "); it was left as it is",
        connection.path());
  if (*layout < 1)
    return bad_input("this record has no layout (" + versions + "); it was left as it is",
                     connection.path());
  return static_cast<int>(*layout);
}

Result<void> step_up(Connection& connection, int layout) {
  const std::string copy = connection.path() + ".layout-" + std::to_string(layout);
  if (!std::filesystem::exists(copy)) {
    auto copied = copy_record(connection, copy);
    // Another program may be doing the same.
    if (!copied && !std::filesystem::exists(copy)) return copied;
  }
  return bring_up_to_date(connection);
}

/// Looks only: nothing may be changed in a record that holds what is not ours, or that lies where
/// nothing can be written.
Result<std::unique_ptr<Connection>> to_read_only(std::unique_ptr<Connection> connection, int layout,
                                                 const std::string& why) {
  if (layout < latest_layout) {
    auto copy = copied_into_memory(*connection, layout);
    if (!copy) return copy;
    connection = *std::move(copy);
  }
  connection->read_only_because(why);
  if (auto set = connection->run("PRAGMA query_only=ON"); !set) return set.error();
  return connection;
}

/// The journal that suits the place.
Result<void> set_journal(Connection& connection, const Header& header) {
  if (!network_of(connection.path())) {
    auto mode = connection.text("PRAGMA journal_mode=WAL");
    return mode ? Result<void>() : mode.error();
  }
  if (!header.write_ahead) return {};
  auto mode = connection.text("PRAGMA journal_mode=DELETE");
  if (!mode) return mode.error();
  // The lock is given up with the next read.
  if (auto shared = connection.run("PRAGMA locking_mode=NORMAL"); !shared) return shared;
  return first_read(connection);
}

}  // namespace

Result<Header> examine_header(const std::string& path) {
  auto file = RawFile::open(path);
  if (!file) return file.error();
  unsigned char header[100];
  const ssize_t got = file->read_at(header, sizeof header, 0);
  if (got < 0) return failed("cannot read the record", path);
  if (got == 0) return bad_input("this file is empty, not a treatment record", path);
  if (got < 100 || std::memcmp(header, "SQLite format 3", 16) != 0)
    return bad_input("this is not a treatment record; it was left as it is", path);
  if (big_endian(header + 68) != static_cast<std::uint32_t>(application_id))
    return bad_input(
        "this is a database of another program, not a treatment record; it was left "
        "as it is",
        path);
  if (auto whole = whole_length(header, path); !whole) return whole.error();
  return Header{header[18] == 2 || header[19] == 2};
}

Result<void> create_record(const std::string& path,
                           const std::function<Result<void>(Connection&)>& fill) {
  if (auto free = free_of_logs(path); !free) return free;
  auto temporary = temporary_beside(path);
  if (!temporary) return temporary.error();
  auto made = fill_new(*temporary, path, fill);
  if (made && !give_name(*temporary, path))
    made = errno == EEXIST
               ? bad_request("a record is never overwritten: this file is already there", path)
               : failed("cannot make the record", path);
  remove_all(*temporary);
  if (made) sync_folder(folder_of(path));
  return made;
}

namespace {

Result<std::unique_ptr<Connection>> open_any(const std::string& path) {
  auto header = examine_header(path);
  if (!header) return header.error();
  const bool writable = can_write(path);
  auto opened = writable ? open_for_writing(path, *header) : open_for_reading(path);
  if (!opened) return opened;
  Connection& connection = **opened;
  auto layout = known_layout(connection);
  if (!layout) return layout.error();
  auto foreign = foreign_parts(connection, *layout);
  if (!foreign) return foreign.error();
  if (!foreign->empty())
    return to_read_only(*std::move(opened), *layout,
                        "this record holds what mendtone did not make, or lacks what it made (" +
                            listed(*foreign) +
                            "): it is opened for reading only; take the last backup, or restore "
                            "the last export");
  if (!writable)
    return to_read_only(*std::move(opened), *layout,
                        "the record cannot be written here (read-only file or folder)");
  if (!connection.reading_only().empty())
    return to_read_only(*std::move(opened), *layout, connection.reading_only());
  if (*layout < latest_layout)
    if (auto stepped = step_up(connection, *layout); !stepped) return stepped.error();
  if (auto set = set_journal(connection, *header); !set) return set.error();
  return opened;
}

}  // namespace

Result<std::unique_ptr<Connection>> open_existing(const std::string& path) {
  auto opened = open_any(path);
  if (!opened) return opened;
  if (auto held = check_held(**opened); !held) return held.error();
  return opened;
}

Result<void> bring_up_to_date(Connection& connection) {
  if (auto begun = connection.run("BEGIN IMMEDIATE"); !begun) return begun;
  auto done = take_steps(connection, latest_layout);
  // Last, since it takes in every column that this program knows.
  if (done) done = begin_seals_where_there_are_none(connection);
  if (done) done = connection.run("COMMIT");
  if (!done) (void)connection.run("ROLLBACK");
  return done;
}

Result<void> copy_record(Connection& from, const std::string& copy) {
  if (std::filesystem::exists(copy))
    return bad_request("a backup never overwrites: this file is already there", copy);
  if (auto free = free_of_logs(copy); !free) return free;
  auto temporary = temporary_beside(copy);
  if (!temporary) return temporary.error();
  auto copied = [&]() -> Result<void> {
    auto to = Connection::open(*temporary, Access::write, copy);
    if (!to) return to.error();
    MENDTONE_TRY(sync_fully(**to));
    if (auto pages = copy_pages(from, **to); !pages) return pages;
    auto sound = (*to)->text("PRAGMA integrity_check(1)");
    if (!sound) return sound.error();
    if (*sound != "ok") return bad_input("the copy is not sound: " + *sound, copy);
    return {};
  }();
  if (copied && !give_name(*temporary, copy)) copied = failed("cannot make the backup", copy);
  remove_all(*temporary);
  if (copied) sync_folder(folder_of(copy));
  return copied;
}

}  // namespace mendtone::sqlite
