#include "app/inputs/folders.hpp"

#include <algorithm>
#include <filesystem>

#include "app/inputs/text.hpp"
#include "mendtone/formats/write.hpp"

namespace mendtone::app {
namespace {

constexpr std::size_t most_files = 10000;

/// What a kept result's folder held: the inputs that were kept below its name.
std::vector<std::string> kept_below(const std::string& folder, const Inputs& inputs) {
  std::vector<std::string> names;
  for (const auto& [name, bytes] : inputs)
    if (name.size() > folder.size() + 1 && name.starts_with(folder) &&
        (name[folder.size()] == '/' || folder.ends_with('/')))
      names.push_back(name);
  return names;
}

Result<std::vector<std::string>> files_below(const std::string& folder) {
  std::vector<std::string> names;
  std::error_code fault;
  std::filesystem::directory_iterator entry(folder, fault), none;
  for (; !fault && entry != none; entry.increment(fault)) {
    const std::string file = entry->path().filename().string();
    std::error_code ignored;
    if (file.starts_with('.') || !entry->is_regular_file(ignored)) continue;
    names.push_back(entry->path().string());
    if (names.size() > most_files)
      return bad_input("a folder of more than " + std::to_string(most_files) +
                           " files; name the files that you need",
                       folder);
  }
  if (fault) return outside_world("cannot read the folder: " + fault.message(), folder);
  if (names.empty()) return bad_input("expected files, found an empty folder", folder);
  std::sort(names.begin(), names.end());
  return names;
}

/// All of a reading but where it stands.
std::string as_text(const Reading& reading) {
  return readings_to_csv(std::span(&reading, 1));
}

}  // namespace

bool is_folder(const std::string& name, const InputPlace& place) {
  if (place.only) return place.only->count(name) == 0 && !kept_below(name, *place.only).empty();
  std::error_code ignored;
  return place.files && std::filesystem::is_directory(name, ignored);
}

Result<std::vector<NamedFile>> with_folders_opened(const std::vector<std::string>& names,
                                                   const InputPlace& place) {
  std::vector<NamedFile> files;
  for (const std::string& name : names) {
    std::vector<std::string> below;
    if (is_folder(name, place))
      below = place.only ? kept_below(name, *place.only) : MENDTONE_TRY(files_below(name));
    if (below.empty()) files.push_back({name, false});
    for (std::string& file : below) files.push_back({std::move(file), true});
  }
  return files;
}

void OnceEach::take_out(ReadFile& file) {
  std::map<std::string, std::string> own;
  std::map<std::string, std::size_t> twice;  // the earlier file -> how many of its readings
  std::string where;
  std::vector<Reading> kept;
  for (Reading& reading : file.readings) {
    std::string text = as_text(reading);
    if (const auto earlier = seen_.find(text); earlier != seen_.end()) {
      if (where.empty()) where = text_of(reading.source);
      ++twice[earlier->second];
      continue;
    }
    own.emplace(std::move(text), reading.source.file);
    kept.push_back(std::move(reading));
  }
  file.readings = std::move(kept);
  seen_.merge(own);
  for (const auto& [earlier, count] : twice)
    file.warnings.push_back({counted(count, "reading stands", "readings stand") + " in " + earlier +
                                 " too, equal in everything; each counts once",
                             where});
}

}  // namespace mendtone::app
