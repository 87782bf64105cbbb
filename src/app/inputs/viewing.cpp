#include "mendtone/app/inputs/viewing.hpp"

#include <filesystem>

#include "mendtone/base/table.hpp"

namespace mendtone::app {
namespace {

/// A lamp file: a heading line, then wavelength in nm and relative power.
Result<Light> lamp_file(const std::string& path, const InputPlace& place) {
  auto bytes = input_bytes(path, place);
  if (!bytes) return bytes.error();
  auto table = parse_number_table(*bytes, path);
  if (!table) return table.error();
  if (table->heading.size() != 2)
    return bad_input("a lamp file has two columns, wavelength in nm and relative power; found " +
                         std::to_string(table->heading.size()),
                     path);
  auto grid = WavelengthGrid::from_nm(table->column[0]);
  if (!grid) return bad_input(grid.error().message, path);
  for (double power : table->column[1])
    if (power < 0) return bad_input("a lamp's power cannot be below 0", path);
  return Light{std::filesystem::path(path).stem().string(),
               {*std::move(grid), table->column[1]},
               "lamp file " + path};
}

/// A word that is no light's name: a file, or something that a record keeps.
bool may_be_lamp_file(const std::string& name, const InputPlace& place) {
  return place.only || !place.record.empty() || is_file(name, place);
}

}  // namespace

const std::vector<std::string>& viewing_and_gallery_lights() {
  static const std::vector<std::string> lights{"D65", "LED-B1", "LED-B2", "LED-B3", "A"};
  return lights;
}

Result<Viewing> viewing(const ViewingRequest& request, const std::vector<std::string>& defaults) {
  auto observer = observer_from_degrees(request.observer_deg);
  if (!observer) return bad_request(observer.error().message, "--observer");
  Viewing result{{}, *observer};
  for (const std::string& name : request.lights.empty() ? defaults : request.lights) {
    auto named = standard_light(name);
    if (!named && may_be_lamp_file(name, request.record)) {
      auto lamp = lamp_file(name, request.record);
      // A slip in a light's name is more likely than a lamp that is not there.
      if (lamp || is_file(name, request.record)) named = std::move(lamp);
    }
    if (!named) return named.error();
    result.lights.push_back(*std::move(named));
  }
  return result;
}

}  // namespace mendtone::app
