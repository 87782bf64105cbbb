#include "mendtone/spectral/doubts.hpp"

#include <algorithm>
#include <cmath>

#include "mendtone/base/numbers.hpp"

namespace mendtone {
namespace {

/// Widest reflectance factor that a brightener or gloss gives on paper; common practice, no source.
constexpr double highest_usual = 1.2;

std::size_t bands(double nm, double step) {
  return nm > 1e-9 ? static_cast<std::size_t>(std::ceil(nm / step - 1e-9)) : 0;
}

std::string range_of(const WavelengthGrid& grid) {
  return shortest(grid.first()) + "-" + shortest(grid.last()) + " nm";
}

void check_coverage(const Spectrum& spectrum, std::vector<std::string>& found) {
  const Coverage reach = coverage(spectrum.grid);
  if (reach.enough) return;
  found.push_back("bands only at " + range_of(spectrum.grid) +
                  ": the end values are held on, for " + std::to_string(reach.bands_missing_below) +
                  " bands below (to 380 nm) and " + std::to_string(reach.bands_missing_above) +
                  " above (to 780 nm)");
}

void check_values(const Repeats& repeats, std::vector<std::string>& found) {
  std::size_t below = 0, above = 0;
  double lowest = 0, highest = 0;
  for (const Reading& reading : repeats.readings)
    for (const double value : reading.spectrum->value) {
      below += value < 0;
      above += value > highest_usual;
      lowest = std::min(lowest, value);
      highest = std::max(highest, value);
    }
  if (below > 0)
    found.push_back(std::to_string(below) + " values below 0, the lowest " + fixed(lowest, 4) +
                    ": the instrument's black is in doubt");
  if (above > 0)
    found.push_back(std::to_string(above) + " values above " + fixed(highest_usual, 1) +
                    ", the highest " + fixed(highest, 3) +
                    ": a brightener, gloss, or the scale in doubt");
}

void check_facts(const Reading& reading, std::vector<std::string>& found) {
  std::vector<std::string> silent;
  if (reading.condition == Condition::unstated) silent.push_back("measurement condition (M0-M3)");
  if (reading.geometry.empty()) silent.push_back("geometry");
  if (reading.backing.empty() && reading.role != Role::backing && reading.role != Role::substrate)
    silent.push_back("backing");
  if (reading.state == State::unstated) silent.push_back("state (dry, pasted, sized, wet)");
  if (silent.empty()) return;
  std::string text = "not stated: ";
  for (std::size_t i = 0; i < silent.size(); ++i) text += (i > 0 ? ", " : "") + silent[i];
  found.push_back(text);
}

}  // namespace

Coverage coverage(const WavelengthGrid& grid) {
  if (grid.size() < 2) return {0, 0, false};
  const double step = (grid.last() - grid.first()) / static_cast<double>(grid.size() - 1);
  return {bands(grid.first() - 380, step), bands(780 - grid.last(), step),
          grid.first() <= 380 && grid.last() >= 730};
}

std::vector<std::string> doubts(const Repeats& repeats) {
  std::vector<std::string> found;
  if (repeats.spectral()) {
    check_coverage(*repeats.first().spectrum, found);
    check_values(repeats, found);
  }
  check_facts(repeats.first(), found);
  return found;
}

}  // namespace mendtone
