#pragma once
#include <sqlite3.h>

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "adapters/open_files.hpp"
#include "mendtone/base/result.hpp"
#include "mendtone/record/kinds.hpp"

namespace mendtone::sqlite {

/// A prepared statement; numbers of parameters and columns count from 1 and 0, as SQLite's do.
class Statement {
 public:
  Statement() : Statement(nullptr) {}
  explicit Statement(sqlite3_stmt* statement) : statement_(statement, sqlite3_finalize) {}

  void bind(int number, const record::Cell& cell);
  void bind_whole(int number, std::int64_t value);
  void bind_text(int number, std::string_view value);
  void bind_bytes(int number, std::string_view value);
  /// SQLITE_ROW, SQLITE_DONE or an error code.
  int step() { return sqlite3_step(statement_.get()); }
  void reset();
  record::Cell cell(int column) const;
  std::int64_t whole(int column) const;
  std::string text(int column) const;
  bool is_null(int column) const;
  std::string bytes(int column) const;

 private:
  std::unique_ptr<sqlite3_stmt, int (*)(sqlite3_stmt*)> statement_;
};

/// Resets a cached statement when its use ends, so that no read lock outlives it.
class InUse {
 public:
  explicit InUse(Statement& statement) : statement_(statement) {}
  ~InUse() { statement_.reset(); }
  InUse(const InUse&) = delete;
  InUse& operator=(const InUse&) = delete;
  Statement* operator->() const { return &statement_; }

 private:
  Statement& statement_;
};

/// `held_still`: read without any lock, what lies where nobody can write.
enum class Access { write, read, held_still };

/// One open file. Every refusal of SQLite's comes out as an Error in a conservator's words.
class Connection {
 public:
  /// An existing file, or ":memory:". `shown_path` is what a person calls it.
  static Result<std::unique_ptr<Connection>> open(const std::string& path, Access access,
                                                  const std::string& shown_path);

  Result<void> run(const std::string& sql);
  Result<std::int64_t> whole(const std::string& sql);
  Result<std::string> text(const std::string& sql);
  /// Prepared once and kept.
  Result<Statement*> prepared(const std::string& sql);
  /// Steps to the end; the error if it does not get there.
  Result<void> finish(InUse& statement);

  Error error(int code) const;
  /// Whether the last refusal came from a disk, or a limit, that leaves no room.
  bool out_of_room() const;

  /// Why nothing can be kept through this connection; empty where it can.
  const std::string& reading_only() const { return reading_only_; }
  void read_only_because(std::string why) { reading_only_ = std::move(why); }
  /// Whether the file that was opened still lies under its name.
  bool in_its_place() const { return !announced_ || announced_->is_at(path_); }
  FileKey key() const { return announced_ ? announced_->key() : FileKey{}; }
  sqlite3* handle() const { return handle_.get(); }
  const std::string& path() const { return path_; }

 private:
  // In this order: the file is given up after the handle was closed, and that after its statements.
  std::optional<SqliteHasOpen> announced_;
  std::unique_ptr<sqlite3, int (*)(sqlite3*)> handle_{nullptr, sqlite3_close};
  std::map<std::string, Statement> statements_;
  std::string path_, reading_only_;
};

}  // namespace mendtone::sqlite
