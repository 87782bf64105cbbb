#include "adapters/sqlite_held.hpp"

#include <algorithm>
#include <map>
#include <mutex>

namespace mendtone::sqlite {
namespace {

constexpr const char* what_to_do =
    ": nothing was kept; put the record back, or close this program and open the record where it "
    "is now";

struct Held {
  FileKey key;
  std::string id;
  std::int64_t newest_entry = 0;  ///< that was ever seen: a record only grows
};

/// Never destroyed: threads may outlive `main`.
struct AllHeld {
  std::mutex mutex;
  std::map<std::string, Held> by_path;
};

AllHeld& all_held() {
  static auto* all = new AllHeld;
  return *all;
}

Result<Held> identity_of(Connection& connection) {
  auto id = connection.text("SELECT id FROM origin");
  if (!id) return id.error();
  auto newest = connection.whole("SELECT max(row) FROM entry");
  if (!newest) return newest.error();
  return Held{connection.key(), *id, *newest};
}

}  // namespace

Result<void> hold(Connection& connection) {
  auto now = identity_of(connection);
  if (!now) return now.error();
  AllHeld& all = all_held();
  const std::lock_guard lock(all.mutex);
  all.by_path[connection.path()] = *now;
  return {};
}

Result<void> check_held(Connection& connection) {
  AllHeld& all = all_held();
  // As it was before the look: what another thread sees meanwhile may be newer than our look.
  Held before;
  {
    const std::lock_guard lock(all.mutex);
    const auto found = all.by_path.find(connection.path());
    if (found == all.by_path.end()) return {};
    before = found->second;
  }
  auto now = identity_of(connection);
  if (!now) return now.error();
  if (now->key != before.key || now->id != before.id || now->newest_entry < before.newest_entry)
    return outside_world(
        std::string("another record lies here than when this program was started") + what_to_do,
        connection.path());
  const std::lock_guard lock(all.mutex);
  Held& held = all.by_path[connection.path()];
  held.newest_entry = std::max(held.newest_entry, now->newest_entry);
  return {};
}

std::string said_of_missing(const std::string& path) {
  AllHeld& all = all_held();
  const std::lock_guard lock(all.mutex);
  if (!all.by_path.count(path)) return {};
  return std::string("the record is no longer here: it was moved or removed") + what_to_do;
}

}  // namespace mendtone::sqlite
