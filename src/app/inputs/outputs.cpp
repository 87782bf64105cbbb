#include "mendtone/app/inputs/outputs.hpp"

#include <sys/stat.h>

#include <filesystem>
#include <map>
#include <optional>
#include <set>

#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/record/unreadable.hpp"

namespace mendtone::app {
namespace {

namespace fs = std::filesystem;
using File = std::pair<dev_t, ino_t>;

/// The file that a name leads to, through links; nothing where there is none.
std::optional<File> file_at(const std::string& path) {
  struct stat status {};
  if (::stat(path.c_str(), &status) != 0) return std::nullopt;
  return File{status.st_dev, status.st_ino};
}

/// Files that are read, each with the name that the person gave.
class Read {
 public:
  void add(const std::string& path, const std::string& said) {
    if (const auto file = file_at(path)) files_.try_emplace(*file, said);
  }

  void add_text(const std::string& text) {
    add_name(text);
    if (const auto equals = text.find('='); equals != std::string::npos)
      add_name(text.substr(equals + 1));
    if (const auto hash = text.find('#'); hash != std::string::npos)
      add_name(text.substr(0, hash));
  }

  const std::string* at(const File& file) const {
    const auto found = files_.find(file);
    return found == files_.end() ? nullptr : &found->second;
  }

 private:
  void add_name(const std::string& text) {
    constexpr std::string_view mask = "mask:";
    const std::string name = text.rfind(mask, 0) == 0 ? text.substr(mask.size()) : text;
    std::error_code ignored;
    if (!fs::is_directory(name, ignored)) return add(name, name);
    fs::directory_iterator entry(name, ignored), none;
    for (; !ignored && entry != none; entry.increment(ignored))
      add(entry->path().string(), entry->path().string());
  }

  std::map<File, std::string> files_;
};

/// A record that cannot be opened is said where it is read.
void add_record(const std::string& record, Read& read) {
  if (record.empty()) return;
  for (const char* tail : {"", "-wal", "-shm", "-journal"}) read.add(record + tail, record);
  if (!file_at(record)) return;
  const auto store = open_record(record, Opening::must_exist);
  if (!store) return;
  std::vector<record::Unreadable> left_out;
  const auto photographs = record::current<record::Photograph>(**store, {}, left_out);
  if (!photographs) return;
  for (const auto& kept : *photographs)
    read.add(kept.value.path, "photograph '" + kept.value.name + "' of the record");
}

std::string whole_path(const std::string& path) {
  std::error_code fault;
  const fs::path whole = fs::weakly_canonical(path, fault);
  return fault ? path : whole.string();
}

}  // namespace

Result<void> may_write(const Outputs& outputs) {
  if (outputs.files.empty()) return {};
  Read read;
  for (const std::string& text : outputs.read) read.add_text(text);
  add_record(outputs.record, read);
  std::map<std::string, std::string> taken;  // path -> option
  for (const results::FileToWrite& one : outputs.files) {
    const auto [other, is_new] = taken.try_emplace(whole_path(one.path), one.option);
    if (!is_new)
      return bad_request(other->second + " and " + one.option +
                             " name one file; give each a name of its own",
                         one.path);
    const auto file = file_at(one.path);
    if (!file) continue;
    if (const std::string* said = read.at(*file))
      return bad_request("this command reads this file (" + *said +
                             "), so it is not written over; choose another name for " + one.option,
                         one.path);
    std::error_code ignored;
    if (fs::is_directory(one.path, ignored))
      return bad_request("this is a folder; choose a file name for " + one.option, one.path);
    if (!outputs.force && fs::is_regular_file(one.path, ignored))
      return bad_request("there is such a file already, and it was left as it is; choose another "
                         "name for " + one.option + ", or say --force to replace it",
                         one.path);
  }
  return {};
}

}  // namespace mendtone::app
