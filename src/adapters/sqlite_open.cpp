#include <filesystem>

#include "adapters/sqlite_faults.hpp"
#include "adapters/sqlite_held.hpp"
#include "adapters/sqlite_layout.hpp"
#include "adapters/sqlite_place.hpp"
#include "adapters/sqlite_record_file.hpp"
#include "adapters/sqlite_schema.hpp"
#include "adapters/sqlite_seals.hpp"
#include "adapters/sqlite_store.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/base/near_names.hpp"

namespace mendtone {
namespace {

using sqlite::Access;
using sqlite::Connection;

/// A name may be mistyped: which records lie there is said.
Error no_such_record(const std::string& path) {
  const std::filesystem::path whole(path);
  const auto folder = whole.has_parent_path() ? whole.parent_path() : std::filesystem::path(".");
  constexpr int most_looked_at = 500;
  std::vector<std::string> names;
  std::error_code fault;
  std::filesystem::directory_iterator entry(folder, fault), end;
  for (int seen = 0; !fault && entry != end && seen < most_looked_at;
       entry.increment(fault), ++seen)
    if (sqlite::examine_header(entry->path().string()))
      names.push_back(entry->path().filename().string());
  std::string there;
  for (const std::string& name : near_names(whole.filename().string(), names))
    there += (there.empty() ? "; is it " : " or ") + name;
  return outside_world("there is no such record" + there + (there.empty() ? "" : "?") +
                           " ('mendtone record new FILE' makes one)",
                       path);
}

}  // namespace

Result<void> new_record(const std::string& path) {
  return sqlite::create_record(path);
}

Result<void> hold_record(const std::string& path) {
  auto connection = sqlite::open_existing(path);
  if (!connection) return connection.error();
  return sqlite::hold(**connection);
}

std::string place_note(const std::string& path) {
  const auto network = sqlite::network_of(path);
  if (!network) return {};
  return "this place is on a network (" + *network +
         "): the record is kept there with a journal in place of a log, and programs wait for one "
         "another longer; a disk of this machine is safer and faster";
}

Result<std::unique_ptr<record::Store>> open_record(const std::string& path, Opening opening) {
  if (opening == Opening::create_if_missing && !std::filesystem::exists(path)) {
    auto made = new_record(path);
    // Another program may have been faster.
    if (!made && !std::filesystem::exists(path)) return made.error();
  }
  if (!std::filesystem::exists(path)) {
    const std::string moved = sqlite::said_of_missing(path);
    return moved.empty() ? no_such_record(path) : outside_world(moved, path);
  }
  auto connection = sqlite::open_existing(path);
  if (!connection) return connection.error();
  return std::unique_ptr<record::Store>(
      std::make_unique<sqlite::RecordStore>(*std::move(connection)));
}

Result<record::Head> back_up_record(const std::string& path, const std::string& copy) {
  auto connection = sqlite::open_existing(path);
  if (!connection) return connection.error();
  if (auto copied = sqlite::copy_record(**connection, copy); !copied) return copied.error();
  auto copied = sqlite::open_existing(copy);
  if (!copied) return copied.error();
  return sqlite::head_of(**copied);
}

Result<std::vector<std::string>> check_record_file(const std::string& path,
                                                   const StillGoing& going) {
  auto connection = sqlite::open_existing(path);
  if (!connection) return connection.error();
  auto faults = sqlite::faults_of(**connection, going);
  if (!faults || (*connection)->reading_only().empty()) return faults;
  faults->push_back((*connection)->reading_only());
  return faults;
}

Result<SealReport> check_seals(const std::string& path, const std::vector<record::Head>& known) {
  auto connection = sqlite::open_existing(path);
  if (!connection) return connection.error();
  if (auto begun = (*connection)->run("BEGIN"); !begun) return begun.error();
  auto report = sqlite::check_chain(**connection, known);
  (void)(*connection)->run("ROLLBACK");
  return report;
}

int record_layout() {
  return sqlite::latest_layout;
}

std::string record_schema() {
  auto connection = Connection::open(":memory:", Access::write, "");
  std::string text;
  if (!connection || !sqlite::take_steps(**connection, sqlite::latest_layout)) return text;
  auto statements =
      sqlite::lines(**connection, "SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL");
  if (!statements) return text;
  for (const std::string& statement : *statements) text += statement + ";\n";
  return text;
}

}  // namespace mendtone
