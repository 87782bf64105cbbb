#include <filesystem>

#include "app/inputs/exact_csv.hpp"
#include "app/inputs/json.hpp"
#include "app/inputs/text.hpp"
#include "app/record/record_csv.hpp"
#include "mendtone/adapters/files.hpp"
#include "mendtone/adapters/record_tables.hpp"
#include "mendtone/adapters/sha256.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/app/record/record.hpp"
#include "mendtone/formats/write.hpp"
#include "mendtone/record/unreadable.hpp"

namespace mendtone::app {
namespace {

namespace fs = std::filesystem;

constexpr const char* about =
    "A treatment record, written out by mendtone.\n"
    "\n"
    "tables/*.csv   every row ever kept, one file a kind. A thing is one row and its corrections:\n"
    "               id is the row number of its first row, replaces the row that a correction\n"
    "               corrects, withdrawn = 1 says that it should not have been entered; entry is a\n"
    "               row of entry.csv: who, when (UTC), why. Empty means: not stated.\n"
    "kept/          files as they came, each under its SHA-256\n"
    "computed/      computed results as JSON, for reading elsewhere (they also stand in the "
    "table)\n"
    "readings.*     the raw readings as they stand now, as CSV and CGATS.17, for reading "
    "elsewhere\n"
    "schema.sql     the tables of the record itself\n"
    "head.txt       the head of the record's chain of entries: recheck --head holds a record\n"
    "               against it\n"
    "contents.csv   the SHA-256 of every file here\n"
    "\n"
    "tables/, kept/ and contents.csv alone rebuild an equal record:\n"
    "  mendtone record restore FOLDER --record NEW\n";

Error failed(const std::string& what, const fs::path& path, const std::error_code& code) {
  return outside_world(what + ": " + code.message(), path.string());
}

/// Writes files below a folder and remembers what they hold.
class Folder {
 public:
  explicit Folder(fs::path root) : root_(std::move(root)) {}

  /// The folder must be new or empty: an export never mixes with another.
  Result<void> begin() {
    std::error_code code;
    if (fs::exists(root_, code) && !fs::is_empty(root_, code))
      return bad_request("an export needs a new or empty folder", root_.string());
    for (const char* part : {"tables", "kept", "computed"})
      if (!fs::create_directories(root_ / part, code) && code)
        return failed("cannot make the folder", root_ / part, code);
    return {};
  }

  Result<void> put(const std::string& name, const std::string& bytes) {
    if (auto written = write_file((root_ / name).string(), bytes); !written) return written;
    contents_.push_back({name, sha256(bytes)});
    return {};
  }

  Result<void> end() {
    std::string text = exact_csv_line({"file", "sha256"});
    for (const auto& [name, hash] : contents_) text += exact_csv_line({name, hash});
    return write_file((root_ / "contents.csv").string(), text);
  }

 private:
  fs::path root_;
  std::vector<std::pair<std::string, std::string>> contents_;
};

const RecordTable& table_named(const std::vector<RecordTable>& tables, const std::string& name) {
  for (const RecordTable& table : tables)
    if (table.name == name) return table;
  return tables.front();
}

std::string cell_of(const RecordTable& table, const std::vector<record::Cell>& row,
                    const char* column) {
  for (std::size_t i = 0; i < table.columns.size(); ++i)
    if (table.columns[i].name == column) return record::text_of(row[i]);
  return {};
}

Result<void> put_computed(const std::vector<RecordTable>& tables, Folder& folder) {
  const RecordTable& table = table_named(tables, "computation");
  for (const auto& row : table.rows) {
    const std::string name =
        "computed/" + cell_of(table, row, "row") + "-" + cell_of(table, row, "verb") + ".json";
    if (auto put = folder.put(name, cell_of(table, row, "result") + "\n"); !put) return put;
  }
  return {};
}

/// Raw readings as they stand now, for those who have no mendtone.
Result<void> put_readings(const std::string& path, Folder& folder) {
  auto store = open_record(path, Opening::must_exist);
  if (!store) return store.error();
  std::vector<record::Unreadable> unreadable;
  auto kept = record::current<record::KeptReading>(**store, {}, unreadable);
  if (!kept) return kept.error();
  std::string left_out;
  for (const record::Unreadable& one : unreadable) left_out += one.error.text() + "\n";
  if (!left_out.empty())
    if (auto put = folder.put("readings-left-out.txt", left_out); !put) return put;
  std::vector<Reading> readings;
  for (auto& one : *kept) readings.push_back(std::move(one.value.reading));
  if (readings.empty()) return {};
  if (auto put = folder.put("readings.csv", readings_to_csv(readings)); !put) return put;
  return folder.put("readings.cgats", readings_to_cgats(readings));
}

Result<void> put_head(const std::string& path, Folder& folder, ExportAnswer& answer) {
  auto store = open_record(path, Opening::must_exist);
  if (!store) return store.error();
  auto head = (*store)->head();
  if (!head) return head.error();
  answer.head = record::text_of(*head);
  return folder.put("head.txt", answer.head + "\n");
}

Result<void> put_all(const ExportRequest& request, Folder& folder, ExportAnswer& answer) {
  if (auto begun = folder.begin(); !begun) return begun;
  if (auto put = folder.put("about.txt", about); !put) return put;
  if (auto put = folder.put("schema.sql", record_schema()); !put) return put;
  auto tables =
      record_tables(request.record, [&](const std::string& hash, const std::string& bytes) {
        ++answer.kept_files;
        return folder.put("kept/" + hash, bytes);
      });
  if (!tables) return tables.error();
  for (const RecordTable& table : *tables) {
    answer.rows.push_back({table.name, static_cast<std::int64_t>(table.rows.size())});
    if (auto put = folder.put("tables/" + table.name + ".csv", table_to_csv(table)); !put)
      return put;
  }
  if (auto put = put_computed(*tables, folder); !put) return put;
  if (auto put = put_readings(request.record, folder); !put) return put;
  if (auto put = put_head(request.record, folder, answer); !put) return put;
  return folder.end();
}

/// Every file that contents.csv names, with the hash that it gives.
Result<RecordTable> contents_of(const fs::path& root) {
  const std::string path = (root / "contents.csv").string();
  auto text = read_file(path);
  if (!text) return text.error();
  RecordTable table{"contents.csv", {{}, {}}, {}};
  table.columns[0].name = "file";
  table.columns[1].name = "sha256";
  if (auto read = table_from_csv(*text, path, table); !read) return read.error();
  return table;
}

struct Found {
  std::vector<RecordTable> tables = empty_record_tables();
  std::vector<std::string> kept_bytes;
};

Result<void> take(const std::string& name, const std::string& bytes, const std::string& path,
                  Found& found) {
  if (name.rfind("kept/", 0) == 0) found.kept_bytes.push_back(bytes);
  for (RecordTable& table : found.tables)
    if (name == "tables/" + table.name + ".csv") return table_from_csv(bytes, path, table);
  if (name.rfind("tables/", 0) == 0)
    return bad_input("this program knows no table of this name: was it written by a newer one?",
                     path);
  return {};
}

Result<Found> read_folder(const std::string& folder) {
  auto contents = contents_of(folder);
  if (!contents) return contents.error();
  Found found;
  for (const auto& row : contents->rows) {
    const std::string name = record::text_of(row[0]);
    const std::string path = (fs::path(folder) / name).string();
    if (name.find("..") != std::string::npos || name.front() == '/')
      return bad_input("contents.csv names a file outside its folder", name);
    auto bytes = read_file(path, std::size_t{2} << 30);
    if (!bytes) return bytes.error();
    if (sha256(*bytes) != record::text_of(row[1]))
      return bad_input("this file was changed since it was written out; nothing was restored",
                       path);
    if (auto taken = take(name, *bytes, path, found); !taken) return taken.error();
  }
  return found;
}

}  // namespace

Result<ExportAnswer> record_export(const ExportRequest& request) {
  ExportAnswer answer{request.record, request.folder, {}, 0, {}};
  Folder folder(request.folder);
  auto done = put_all(request, folder, answer);
  if (!done) return done.error();
  return answer;
}

Result<ExportAnswer> record_restore(const RestoreRequest& request) {
  auto found = read_folder(request.folder);
  if (!found) return found.error();
  auto made = record_from_tables(request.record, found->tables, found->kept_bytes);
  if (!made) return made.error();
  ExportAnswer answer{request.record, request.folder, {}, found->kept_bytes.size(), {}};
  for (const RecordTable& table : found->tables)
    answer.rows.push_back({table.name, static_cast<std::int64_t>(table.rows.size())});
  auto store = open_record(request.record, Opening::must_exist);
  auto head = store ? (*store)->head() : Result<record::Head>(store.error());
  if (!head) return head.error();
  answer.head = record::text_of(*head);
  return answer;
}

}  // namespace mendtone::app
