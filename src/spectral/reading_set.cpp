#include "mendtone/spectral/reading_set.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>
#include <unordered_map>

#include "mendtone/base/numbers.hpp"

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

namespace {

/// 116 R^(1/3) of the bands that a tone rests on.
std::vector<double> lightness_of(const Spectrum& spectrum) {
  std::vector<double> values;
  const auto nm = spectrum.grid.nm();
  for (std::size_t i = 0; i < nm.size(); ++i)
    if (nm[i] >= 400 && nm[i] <= 700) values.push_back(116 * std::cbrt(spectrum.value[i]));
  return values;
}

double median_of(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  if (values.size() % 2 == 1) return *middle;
  return (*middle + *std::max_element(values.begin(), middle)) / 2;
}

std::vector<double> median_of_each(const std::vector<std::vector<double>>& rows) {
  std::vector<double> medians, column(rows.size());
  for (std::size_t band = 0; band < rows.front().size(); ++band) {
    for (std::size_t i = 0; i < rows.size(); ++i) column[i] = rows[i][band];
    medians.push_back(median_of(column));
  }
  return medians;
}

double distance_of(const std::vector<double>& one, const std::vector<double>& other) {
  double sum = 0;
  for (std::size_t i = 0; i < one.size(); ++i) sum += (one[i] - other[i]) * (one[i] - other[i]);
  return std::sqrt(sum / static_cast<double>(one.size()));
}

}  // namespace

std::vector<Apart> standing_apart(const Repeats& repeats) {
  if (repeats.readings.size() < 3 || !repeats.spectral()) return {};
  const WavelengthGrid& grid = repeats.first().spectrum->grid;
  std::vector<std::vector<double>> rows;
  for (const Reading& reading : repeats.readings) {
    if (!reading.spectrum || !(reading.spectrum->grid == grid) ||
        reading.spectrum->value.size() != grid.size())
      return {};
    rows.push_back(lightness_of(*reading.spectrum));
  }
  if (rows.front().empty()) return {};
  const std::vector<double> centre = median_of_each(rows);
  std::vector<double> distance;
  for (const std::vector<double>& row : rows) distance.push_back(distance_of(row, centre));
  const double usual = median_of(distance);
  const double limit = std::max(0.3, usual * (rows.size() == 3 ? 9 : 5));
  std::vector<Apart> apart;
  for (std::size_t i = 0; i < distance.size(); ++i)
    if (distance[i] > limit) apart.push_back({i, distance[i], usual});
  return apart;
}

std::vector<std::string> apart_in_words(const Repeats& repeats) {
  std::vector<std::string> all;
  for (const Apart& one : standing_apart(repeats))
    all.push_back("repeat " + repeat_label(repeats, one.index) + " of '" + repeats.name() +
                  "' stands apart from the other " +
                  std::to_string(repeats.readings.size() - 1) + " (by about " +
                  fixed(one.distance, 1) + ", they by " + fixed(one.usual, 1) +
                  ") and is left out of the mean; read it again");
  return all;
}

Result<Spectrum> mean_spectrum(const Repeats& repeats) {
  const std::vector<Apart> apart = standing_apart(repeats);
  if (apart.empty()) return plain_mean_spectrum(repeats);
  Repeats together;
  for (std::size_t i = 0; i < repeats.readings.size(); ++i)
    if (std::none_of(apart.begin(), apart.end(), [&](const Apart& one) { return one.index == i; }))
      together.readings.push_back(repeats.readings[i]);
  return plain_mean_spectrum(together);
}

Result<Spectrum> plain_mean_spectrum(const Repeats& repeats) {
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
