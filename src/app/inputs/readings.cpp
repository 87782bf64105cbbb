#include "mendtone/app/inputs/readings.hpp"

#include <set>

#include "app/inputs/folders.hpp"
#include "app/inputs/tables.hpp"
#include "app/record/kept_readings.hpp"

namespace mendtone::app {
namespace {

Result<ReadFile> understood(const std::string& bytes, const std::string& name,
                            const ReadOptions& options) {
  if (!is_kept_json(bytes)) return readings_in(bytes, name, options);
  auto readings = readings_from_kept_json(bytes, name);
  if (!readings) return readings.error();
  ReadFile file{*std::move(readings), {}};
  for (std::string& note : notes_in_kept_json(bytes)) file.warnings.push_back({std::move(note), name});
  return file;
}

void append(ReadFile& all, ReadFile one) {
  all.readings.insert(all.readings.end(), std::make_move_iterator(one.readings.begin()),
                      std::make_move_iterator(one.readings.end()));
  all.warnings.insert(all.warnings.end(), one.warnings.begin(), one.warnings.end());
}

bool is_backing(const Reading& reading) {
  return reading.role == Role::backing || reading.role == Role::substrate;
}

/// Backings that are named but not there, in the order of the alphabet.
std::set<std::string> missing_backings(const ReadFile& all) {
  std::set<std::string> missing;
  for (const Reading& reading : all.readings)
    if (!reading.backing.empty()) missing.insert(reading.backing);
  for (const Reading& reading : all.readings)
    if (is_backing(reading)) missing.erase(reading.name);
  return missing;
}

}  // namespace

Result<ReadFile> load(const results::Sources& sources, const InputPlace& place) {
  ReadFile all;
  auto files = with_folders_opened(sources.files, place);
  if (!files) return files.error();
  ReadOptions options{sources.scale};
  if (!sources.wavelengths.empty()) {
    auto bands = stated_bands(sources.wavelengths);
    if (!bands) return bands.error();
    options.wavelengths = *bands;
  }
  OnceEach once_each;
  std::optional<Error> first_left_out;
  for (const NamedFile& file : *files) {
    auto bytes = input_bytes(file.name, place);
    if (!bytes) return bytes.error();
    auto one = understood(*bytes, file.name, options);
    if (!one && !file.of_folder) return one.error();
    if (!one) {
      // Photographs and notes may lie in a folder too.
      all.warnings.push_back({"left out: " + one.error().message, file.name});
      if (!first_left_out) first_left_out = one.error();
      continue;
    }
    if (files->size() > 1) once_each.take_out(*one);
    append(all, *std::move(one));
  }
  if (all.readings.empty() && first_left_out) return *first_left_out;
  for (const std::string& backing : missing_backings(all))
    if (auto added = add_backing(backing, place, all.readings); !added) return added.error();
  return all;
}

Result<void> add_backing(const std::string& name, const InputPlace& record,
                         std::vector<Reading>& readings) {
  for (const Reading& reading : readings)
    if (is_backing(reading) && reading.name == name) return {};
  auto bytes = backing_bytes(name, record);
  if (!bytes) return bytes.error();
  if (!*bytes) return {};
  auto one = understood(**bytes, name, {});
  if (!one) return one.error();
  readings.insert(readings.end(), std::make_move_iterator(one->readings.begin()),
                  std::make_move_iterator(one->readings.end()));
  return {};
}

}  // namespace mendtone::app
