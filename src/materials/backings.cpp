#include "mendtone/materials/backings.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "mendtone/base/numbers.hpp"
#include "mendtone/spectral/resample.hpp"

namespace mendtone {
namespace {

bool is_backing(const Reading& reading) {
  return (reading.role == Role::backing || reading.role == Role::substrate) && reading.spectrum &&
         reading.quantity == Quantity::reflectance;
}

bool equal_readings(const Spectrum& one, const Spectrum& two) {
  if (!(one.grid == two.grid)) return false;
  for (std::size_t i = 0; i < one.value.size(); ++i)
    if (std::abs(one.value[i] - two.value[i]) > 1e-9) return false;
  return true;
}

/// Groups of one file each: two files that say the same of a name are checked, not averaged.
std::vector<Repeats> grouped_by_file(std::span<const Reading> readings) {
  std::vector<std::string> files;
  std::vector<std::vector<Reading>> of_file;
  for (const Reading& reading : readings) {
    if (!is_backing(reading)) continue;
    auto at = std::find(files.begin(), files.end(), reading.source.file);
    if (at == files.end()) {
      files.push_back(reading.source.file);
      of_file.emplace_back();
      at = std::prev(files.end());
    }
    of_file[static_cast<std::size_t>(at - files.begin())].push_back(reading);
  }
  std::vector<Repeats> groups;
  for (const auto& rows : of_file)
    for (Repeats& group : group_repeats(rows)) groups.push_back(std::move(group));
  return groups;
}

std::set<std::string> names_of_tissues(std::span<const Reading> readings) {
  std::set<std::string> tissues;
  for (const Reading& reading : readings)
    if (reading.role == Role::tissue ||
        (reading.role == Role::substrate && !reading.backing.empty()))
      tissues.insert(reading.name);
  for (const Reading& reading : readings)
    if (reading.role == Role::backing) tissues.erase(reading.name);
  return tissues;
}

std::optional<Backing> nominal(std::string_view name, const WavelengthGrid& grid) {
  double R = 0;
  if (name == "black") R = 0.04;
  if (name == "white") R = 0.89;
  if (R == 0) return std::nullopt;
  Backing backing{std::string(name), std::vector<double>(grid.size(), R), true, {}};
  backing.warnings.push_back("the backing '" + backing.name + "' was not read: " + fixed(R, 2) +
                             " is assumed in every band; read it and give its reading");
  return backing;
}

}  // namespace

Result<Backings> Backings::from(std::span<const Reading> readings) {
  Backings backings;
  backings.tissues_ = names_of_tissues(readings);
  for (Repeats& group : grouped_by_file(readings)) {
    for (const Repeats& other : backings.known_) {
      Reading here = group.first();
      if (other.first().source.file == here.source.file || !same_conditions(other.first(), here))
        continue;
      if (other.name() == group.name() &&
          !equal_readings(*mean_spectrum(other), *mean_spectrum(group)))
        return bad_input("the backing '" + group.name() + "' reads otherwise than in " +
                             text_of(other.first().source) + "; give the two different names",
                         text_of(here.source));
    }
    backings.known_.push_back(std::move(group));
  }
  return backings;
}

std::optional<Backing> Backings::find(const Reading& reading, const WavelengthGrid& grid) const {
  const Repeats* best = nullptr;
  int best_score = -1;
  for (const Repeats& group : known_) {
    const Reading& row = group.first();
    if (row.name != reading.backing) continue;
    const int score = 4 * (row.source.file == reading.source.file) +
                      2 * (row.condition == reading.condition) + (row.geometry == reading.geometry);
    if (score > best_score) {
      best = &group;
      best_score = score;
    }
  }
  if (best == nullptr) return nominal(reading.backing, grid);
  const Reading& row = best->first();
  Regridded regridded = on_grid(*mean_spectrum(*best), grid);
  Backing backing{row.name, std::move(regridded.value), false, {}};
  for (const std::string& words : apart_in_words(*best)) backing.warnings.push_back(words);
  if (!regridded.done.empty())
    backing.warnings.push_back("the backing '" + row.name + "' was " + regridded.done);
  if (row.condition != reading.condition && row.condition != Condition::unstated &&
      reading.condition != Condition::unstated)
    backing.warnings.push_back("the backing '" + row.name + "' was read under " +
                               std::string(name_of(row.condition)) + ", what lies on it under " +
                               std::string(name_of(reading.condition)));
  return backing;
}

std::optional<Backing> Backings::find(std::string_view name, const WavelengthGrid& grid) const {
  Reading any;
  any.backing = std::string(name);
  return find(any, grid);
}

std::vector<std::string> Backings::names() const {
  std::vector<std::string> names;
  for (const Repeats& group : known_)
    if (std::find(names.begin(), names.end(), group.name()) == names.end())
      names.push_back(group.name());
  return names;
}

std::vector<std::string> Backings::names_behind(bool lining) const {
  std::vector<std::string> all = names();
  if (!lining) std::erase_if(all, [&](const std::string& name) { return is_tissue(name); });
  return all;
}

Regridded on_grid(const Spectrum& measured, const WavelengthGrid& grid) {
  if (measured.grid == grid) return {measured.value, {}};
  auto brought = resample(measured, grid, best_interpolation(measured.grid));
  // The method was chosen for this very grid, so it cannot be refused.
  assert(brought);
  std::string done =
      "brought from " + shortest(measured.grid.first()) + "-" + shortest(measured.grid.last()) +
      " nm (" + std::to_string(measured.grid.size()) + " bands) to " + shortest(grid.first()) +
      "-" + shortest(grid.last()) + " nm (" + std::to_string(grid.size()) + " bands)";
  if (brought->bands_extrapolated > 0)
    done += ", its end values held in " + std::to_string(brought->bands_extrapolated) +
            " bands outside what was read";
  return {std::move(brought->spectrum.value), std::move(done)};
}

}  // namespace mendtone
