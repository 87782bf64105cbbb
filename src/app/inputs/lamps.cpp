#include "mendtone/app/inputs/lamps.hpp"

#include <cmath>
#include <iterator>

#include "app/inputs/folders.hpp"
#include "app/inputs/tables.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/chromaticity.hpp"

namespace mendtone::app {
namespace {

// What two careful sums over one spectrum may differ by, and what two meters do.
constexpr double agreed_xy = 0.002, agreed_cct_share = 0.01;

struct Asked {
  std::string file, lamp;
};

/// FILE#LAMP, where FILE is a file; a name that is a file as it stands is one, whatever is in it.
Asked asked_for(const std::string& name, const InputPlace& place) {
  if (is_file(name, place)) return {name, {}};
  for (std::size_t at = name.find('#'); at != std::string::npos; at = name.find('#', at + 1))
    if (is_file(name.substr(0, at), place)) return {name.substr(0, at), name.substr(at + 1)};
  return {name, {}};
}

Result<LampFile> lamps_of(const Asked& asked, const InputPlace& place) {
  auto bytes = input_bytes(asked.file, place);
  if (!bytes) return bytes.error();
  return lamps_in(*bytes, asked.file);
}

NamedLamp described(Lamp lamp, const std::string& file, const std::vector<Warning>& warnings) {
  NamedLamp named{std::move(lamp), {}, warnings};
  named.light = light_of(named.lamp, file);
  for (Warning& warning : contradictions(named.lamp, named.light.light))
    named.warnings.push_back(std::move(warning));
  return named;
}

Warning contradicted(const Lamp& lamp, const char* what, const std::string& stated,
                     const std::string& found) {
  return {"the file states " + std::string(what) + " " + stated + "; its power gives " + found +
              ". The power is used. Find out which is right before you rely on this lamp",
          text_of(lamp.source)};
}

}  // namespace

std::vector<Warning> contradictions(const Lamp& lamp, const Light& light) {
  std::vector<Warning> warnings;
  const auto colour = chromaticity(light);
  if (!colour) return warnings;
  if (lamp.stated_x && std::abs(*lamp.stated_x - colour->x) > agreed_xy)
    warnings.push_back(contradicted(lamp, "x", shortest(*lamp.stated_x), fixed(colour->x, 4)));
  if (lamp.stated_y && std::abs(*lamp.stated_y - colour->y) > agreed_xy)
    warnings.push_back(contradicted(lamp, "y", shortest(*lamp.stated_y), fixed(colour->y, 4)));
  if (!lamp.stated_cct_K) return warnings;
  const auto temperature = colour_temperature(*colour);
  const std::string stated = shortest(*lamp.stated_cct_K) + " K";
  if (!temperature)
    warnings.push_back(contradicted(lamp, "a colour temperature of", stated,
                                    "a colour too far from a glowing body's to have one"));
  else if (std::abs(*lamp.stated_cct_K - temperature->cct_K) >
           agreed_cct_share * temperature->cct_K)
    warnings.push_back(
        contradicted(lamp, "a colour temperature of", stated, fixed(temperature->cct_K, 0) + " K"));
  return warnings;
}

bool may_be_lamp(const std::string& name, const InputPlace& place) {
  return place.only || !place.record.empty() || is_lamp_file(name, place);
}

bool is_lamp_file(const std::string& name, const InputPlace& place) {
  return is_file(asked_for(name, place).file, place) || is_folder(name, place);
}

Result<NamedLamp> lamp_named(const std::string& name, const InputPlace& place) {
  const Asked asked = asked_for(name, place);
  auto file = lamps_of(asked, place);
  if (!file) return file.error();
  auto lamp = lamp_called(*file, asked.lamp, asked.file);
  if (!lamp) return lamp.error();
  return described(*std::move(lamp), asked.file, file->warnings);
}

namespace {

Result<std::vector<NamedLamp>> only_lamp(const std::string& name, const InputPlace& place) {
  std::vector<NamedLamp> one;
  one.push_back(MENDTONE_TRY(lamp_named(name, place)));
  return one;
}

Result<std::vector<NamedLamp>> all_lamps(const std::string& name, const InputPlace& place) {
  const Asked asked = asked_for(name, place);
  if (!asked.lamp.empty()) return only_lamp(name, place);
  std::vector<NamedLamp> lamps;
  auto file = lamps_of(asked, place);
  if (!file) return file.error();
  for (Lamp& lamp : file->lamps)
    lamps.push_back(described(std::move(lamp), asked.file,
                              lamps.empty() ? std::move(file->warnings) : std::vector<Warning>()));
  return lamps;
}

/// What `read` finds under the name, or in each file of the folder of that name.
template <class Read>
Result<std::vector<NamedLamp>> in_file_or_folder(const std::string& name, const InputPlace& place,
                                                 Read read) {
  std::vector<NamedLamp> all;
  std::vector<Warning> left_out;
  std::optional<Error> first_fault;
  for (const NamedFile& file : MENDTONE_TRY(with_folders_opened({name}, place))) {
    auto lamps = read(file.name, place);
    if (!lamps && !file.of_folder) return lamps.error();
    if (!lamps) {
      left_out.push_back({"left out: " + lamps.error().message, file.name});
      if (!first_fault) first_fault = lamps.error();
      continue;
    }
    std::move(lamps->begin(), lamps->end(), std::back_inserter(all));
  }
  if (all.empty()) return *first_fault;
  all.front().warnings.insert(all.front().warnings.end(), left_out.begin(), left_out.end());
  return all;
}

}  // namespace

Result<std::vector<NamedLamp>> lamps_of_light(const std::string& name, const InputPlace& place) {
  return in_file_or_folder(name, place, only_lamp);
}

Result<std::vector<NamedLamp>> lamps_named(const std::string& name, const InputPlace& place) {
  return in_file_or_folder(name, place, all_lamps);
}

}  // namespace mendtone::app
