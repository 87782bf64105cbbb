#include "adapters/sqlite_faults.hpp"

#include "mendtone/adapters/sha256.hpp"

namespace mendtone::sqlite {
namespace {

/// Lets `going` end a long statement of SQLite's.
class Stopping {
 public:
  Stopping(Connection& connection, const StillGoing& going)
      : connection_(connection), going_(going) {
    constexpr int instructions = 100000;
    if (going_)
      sqlite3_progress_handler(connection_.handle(), instructions, &Stopping::asked, this);
  }
  ~Stopping() { sqlite3_progress_handler(connection_.handle(), 0, nullptr, nullptr); }
  Stopping(const Stopping&) = delete;
  Stopping& operator=(const Stopping&) = delete;

  const Result<void>& said() const { return said_; }

 private:
  static int asked(void* self) {
    auto& me = *static_cast<Stopping*>(self);
    me.said_ = me.going_();
    return me.said_ ? 0 : 1;
  }

  Connection& connection_;
  const StillGoing& going_;
  Result<void> said_;
};

Result<void> check_kept_bytes(Connection& connection, const StillGoing& going,
                              std::vector<std::string>& faults) {
  auto statement = connection.prepared("SELECT sha256, bytes FROM kept_bytes");
  if (!statement) return statement.error();
  InUse use(**statement);
  int code = SQLITE_ROW;
  while ((code = use->step()) == SQLITE_ROW) {
    if (sha256(use->bytes(1)) != use->text(0))
      faults.push_back("kept bytes no longer match their hash: " + use->text(0));
    if (auto on = going ? going() : Result<void>(); !on) return on;
  }
  if (code != SQLITE_DONE) return connection.error(code);
  return {};
}

}  // namespace

Result<std::vector<std::string>> lines(Connection& connection, const std::string& sql) {
  auto statement = connection.prepared(sql);
  if (!statement) return statement.error();
  InUse use(**statement);
  std::vector<std::string> found;
  int code = SQLITE_ROW;
  while ((code = use->step()) == SQLITE_ROW) found.push_back(use->text(0));
  if (code != SQLITE_DONE) return connection.error(code);
  return found;
}

Result<std::vector<std::string>> faults_of(Connection& connection, const StillGoing& going) {
  const Stopping stopping(connection, going);
  auto faults = lines(connection, "PRAGMA integrity_check");
  if (!stopping.said()) return stopping.said().error();
  if (!faults) return faults;
  if (*faults == std::vector<std::string>{"ok"}) faults->clear();
  auto dangling =
      lines(connection,
            "SELECT 'row ' || rowid || ' of ' || \"table\" || ' points at a ' || parent "
            "|| ' that is not there' FROM pragma_foreign_key_check");
  if (!stopping.said()) return stopping.said().error();
  if (!dangling) return dangling;
  faults->insert(faults->end(), dangling->begin(), dangling->end());
  if (auto checked = check_kept_bytes(connection, going, *faults); !checked) return checked.error();
  return faults;
}

}  // namespace mendtone::sqlite
