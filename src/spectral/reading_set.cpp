#include "mendtone/spectral/reading_set.hpp"

#include <algorithm>
#include <string_view>
#include <unordered_map>

namespace mendtone {
namespace {

bool same_kind(const Reading& one, const Reading& two) {
  if (one.spectrum && two.spectrum) return one.spectrum->grid == two.spectrum->grid;
  if (one.spectrum || two.spectrum) return false;
  return one.lab && two.lab && one.lab->light == two.lab->light &&
         one.lab->observer_deg == two.lab->observer_deg;
}

}  // namespace

bool same_conditions(const Reading& one, const Reading& two) {
  return one.quantity == two.quantity && one.role == two.role && one.backing == two.backing &&
         one.plies == two.plies && one.side == two.side && one.state == two.state &&
         one.geometry == two.geometry && one.condition == two.condition &&
         one.instrument == two.instrument && one.aperture_mm == two.aperture_mm &&
         one.lot == two.lot && one.stock == two.stock && one.series == two.series &&
         one.grammage_g_m2 == two.grammage_g_m2 && one.loads == two.loads &&
         one.load_unit == two.load_unit && same_kind(one, two);
}

std::vector<Repeats> group_repeats(std::span<const Reading> readings) {
  std::vector<Repeats> groups;
  std::unordered_map<std::string_view, std::vector<std::size_t>> groups_of_name;
  for (const Reading& reading : readings) {
    auto& candidates = groups_of_name[reading.name];
    const auto known = std::find_if(candidates.begin(), candidates.end(), [&](std::size_t i) {
      return same_conditions(groups[i].first(), reading);
    });
    if (known != candidates.end()) {
      groups[*known].readings.push_back(reading);
      continue;
    }
    candidates.push_back(groups.size());
    groups.push_back({{reading}});
  }
  return groups;
}

Result<Spectrum> mean_spectrum(const Repeats& repeats) {
  if (repeats.readings.empty()) return bad_input("expected a reading, found none");
  for (const Reading& reading : repeats.readings) {
    if (!reading.spectrum)
      return bad_input("'" + reading.name + "' has no spectrum, only a colour",
                       text_of(reading.source));
    const Spectrum& first = *repeats.readings.front().spectrum;
    if (!(reading.spectrum->grid == first.grid) ||
        reading.spectrum->value.size() != first.grid.size())
      return bad_input("the repeats of '" + reading.name + "' are not on the same wavelengths",
                       text_of(reading.source));
  }
  Spectrum mean = *repeats.first().spectrum;
  for (std::size_t i = 1; i < repeats.readings.size(); ++i)
    for (std::size_t band = 0; band < mean.value.size(); ++band)
      mean.value[band] += repeats.readings[i].spectrum->value[band];
  for (double& value : mean.value) value /= static_cast<double>(repeats.readings.size());
  return mean;
}

std::string repeat_label(const Repeats& repeats, std::size_t index) {
  const std::string& mark = repeats.readings[index].repeat;
  return mark.empty() ? std::to_string(index + 1) : mark;
}

}  // namespace mendtone
