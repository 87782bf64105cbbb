#include <filesystem>

#include "adapters/sqlite_layout.hpp"
#include "adapters/sqlite_record_file.hpp"
#include "adapters/sqlite_store.hpp"
#include "mendtone/adapters/sha256.hpp"
#include "mendtone/adapters/sqlite_store.hpp"

namespace mendtone {
namespace {

using sqlite::Access;
using sqlite::Connection;
using sqlite::InUse;

/// Every row of a checking statement, as text.
Result<std::vector<std::string>> lines(Connection& connection, const std::string& sql) {
  auto statement = MENDTONE_TRY(connection.prepared(sql));
  InUse use(*statement);
  std::vector<std::string> found;
  int code = SQLITE_ROW;
  while ((code = use->step()) == SQLITE_ROW) found.push_back(use->text(0));
  if (code != SQLITE_DONE) return connection.error(code);
  return found;
}

Result<void> check_kept_bytes(Connection& connection, std::vector<std::string>& faults) {
  auto statement = MENDTONE_TRY(connection.prepared("SELECT sha256, bytes FROM kept_bytes"));
  InUse use(*statement);
  int code = SQLITE_ROW;
  while ((code = use->step()) == SQLITE_ROW)
    if (sha256(use->bytes(1)) != use->text(0))
      faults.push_back("kept bytes no longer match their hash: " + use->text(0));
  if (code != SQLITE_DONE) return connection.error(code);
  return {};
}

}  // namespace

Result<std::unique_ptr<record::Store>> open_record(const std::string& path, Opening opening) {
  if (!std::filesystem::exists(path)) {
    if (opening == Opening::must_exist) return outside_world("there is no such record", path);
    MENDTONE_TRY(sqlite::create_record(path));
  }
  auto connection = MENDTONE_TRY(sqlite::open_existing(path));
  return std::unique_ptr<record::Store>(
      std::make_unique<sqlite::RecordStore>(std::move(connection)));
}

Result<void> back_up_record(const std::string& path, const std::string& copy) {
  auto connection = MENDTONE_TRY(sqlite::open_existing(path));
  return sqlite::copy_record(*connection, copy);
}

Result<std::vector<std::string>> check_record_file(const std::string& path) {
  auto connection = MENDTONE_TRY(sqlite::open_existing(path));
  auto faults = lines(*connection, "PRAGMA integrity_check");
  if (!faults) return faults;
  if (*faults == std::vector<std::string>{"ok"}) faults->clear();
  auto strays = lines(*connection,
                      "SELECT 'row ' || rowid || ' of ' || \"table\" || ' points at a ' || parent "
                      "|| ' that is not there' FROM pragma_foreign_key_check");
  if (!strays) return strays;
  faults->insert(faults->end(), strays->begin(), strays->end());
  MENDTONE_TRY(check_kept_bytes(*connection, *faults));
  return faults;
}

int record_layout() {
  return sqlite::latest_layout;
}

std::string record_schema() {
  auto connection = Connection::open(":memory:", Access::write, "");
  std::string text;
  if (!connection || !sqlite::bring_up_to_date(**connection)) return text;
  auto statements = lines(**connection, "SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL");
  if (!statements) return text;
  for (const std::string& statement : *statements) text += statement + ";\n";
  return text;
}

}  // namespace mendtone
