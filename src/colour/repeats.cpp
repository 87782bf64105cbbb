#include "mendtone/colour/repeats.hpp"

#include <algorithm>

#include "mendtone/colour/difference.hpp"

namespace mendtone {
namespace {

double median(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  if (values.size() % 2 == 1) return *middle;
  return (*middle + *std::max_element(values.begin(), middle)) / 2;
}

Lab median_colour(std::span<const Lab> colours) {
  std::vector<double> L, a, b;
  for (const Lab& colour : colours) {
    L.push_back(colour.L);
    a.push_back(colour.a);
    b.push_back(colour.b);
  }
  return {median(L), median(a), median(b)};
}

void describe(RepeatedColour& colour) {
  if (colour.each.size() < 2) return;
  double sum = 0;
  for (const Lab& one : colour.each) sum += de00(colour.lab, one);
  colour.spread_de00 = sum / static_cast<double>(colour.each.size());
}

}  // namespace

std::vector<Outlier> outliers(std::span<const Lab> repeats) {
  if (repeats.size() < 3) return {};
  const Lab centre = median_colour(repeats);
  std::vector<double> distance;
  for (const Lab& one : repeats) distance.push_back(de00(centre, one));
  const double usual = median(distance);
  const double limit = std::max(0.3, usual * (repeats.size() == 3 ? 9 : 5));
  std::vector<Outlier> apart;
  for (std::size_t i = 0; i < distance.size(); ++i)
    if (distance[i] > limit) apart.push_back({i, distance[i], usual});
  return apart;
}

Lab robust_mean(std::span<const Lab> repeats) {
  const std::vector<Outlier> apart = outliers(repeats);
  Lab mean;
  const double n = static_cast<double>(repeats.size() - apart.size());
  for (std::size_t i = 0; i < repeats.size(); ++i) {
    if (std::any_of(apart.begin(), apart.end(), [&](const Outlier& o) { return o.index == i; }))
      continue;
    mean.L += repeats[i].L;
    mean.a += repeats[i].a;
    mean.b += repeats[i].b;
  }
  return {mean.L / n, mean.a / n, mean.b / n};
}

Result<RepeatedColour> repeated_colour(const Repeats& repeats, const TristimulusWeights& weights) {
  const Spectrum mean = MENDTONE_TRY(mean_spectrum(repeats));
  if (!(mean.grid == weights.grid))
    return bad_input("'" + repeats.name() + "' is not read at the wavelengths that the light " +
                     weights.light + " was prepared for");
  RepeatedColour colour;
  colour.xyz = MENDTONE_TRY(weights.xyz(mean.value));
  colour.lab = xyz_to_lab(colour.xyz, weights.white);
  for (const Reading& reading : repeats.readings)
    colour.each.push_back(weights.lab_unchecked(reading.spectrum->value));
  const std::vector<Apart> apart = standing_apart(repeats);
  if (!apart.empty()) {
    const Lab centre = median_colour(colour.each);
    std::vector<double> distance;
    for (const Lab& one : colour.each) distance.push_back(de00(centre, one));
    for (const Apart& one : apart)
      colour.outliers.push_back({one.index, distance[one.index], median(distance)});
  }
  describe(colour);
  return colour;
}

Result<RepeatedColour> bound_colour(const Repeats& repeats) {
  for (const Reading& reading : repeats.readings)
    if (!reading.lab)
      return bad_input("'" + reading.name + "' has no L*a*b* of its own", text_of(reading.source));
  if (repeats.readings.empty()) return bad_input("expected a reading, found none");
  const BoundLab& bound = *repeats.first().lab;
  const auto light = MENDTONE_TRY(standard_light(bound.light));
  const auto observer = MENDTONE_TRY(observer_from_degrees(bound.observer_deg));
  const auto white = MENDTONE_TRY(white_point(light, observer));
  RepeatedColour colour;
  for (const Reading& reading : repeats.readings)
    colour.each.push_back({reading.lab->L, reading.lab->a, reading.lab->b});
  colour.lab = robust_mean(colour.each);
  colour.outliers = outliers(colour.each);
  colour.xyz = lab_to_xyz(colour.lab, white);
  describe(colour);
  return colour;
}

Result<const TristimulusWeights*> WeightsShelf::at(const WavelengthGrid& grid) {
  for (const auto& known : planned_)
    if (known->grid == grid) return known.get();
  auto weights = MENDTONE_TRY(tristimulus_weights(grid, light_, observer_));
  planned_.push_back(std::make_unique<TristimulusWeights>(std::move(weights)));
  return planned_.back().get();
}

Result<Xyz> white_point(const Light& light, Observer observer) {
  const auto weights = MENDTONE_TRY(tristimulus_weights(WavelengthGrid::equal_steps(360, 1, 471),
                                                        light, observer, Interpolation::linear));
  return weights.white;
}

}  // namespace mendtone
