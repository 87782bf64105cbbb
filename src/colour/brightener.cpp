#include "mendtone/colour/brightener.hpp"

#include <map>

#include "mendtone/colour/difference.hpp"
#include "mendtone/colour/repeats.hpp"
#include "mendtone/spectral/comparable.hpp"

namespace mendtone {
namespace {

constexpr double noticed_de00 = 0.5;

Result<Lab> colour_of(const Repeats& repeats, WeightsShelf& shelf) {
  const auto weights = shelf.at(repeats.first().spectrum->grid);
  if (!weights) return Error{weights.error().code, weights.error().message, repeats.name()};
  const Spectrum mean = MENDTONE_TRY(mean_spectrum(repeats));
  return (*weights)->lab(mean.value);
}

}  // namespace

Brightener brightener(std::string name, const Lab& m1, const Lab& m2) {
  Brightener found{std::move(name), de00(m2, m1), m1.b - m2.b, false};
  found.flagged = found.db < 0 && found.de00 >= noticed_de00;
  return found;
}

Result<std::vector<Brightener>> brighteners(std::span<const Repeats> groups) {
  std::map<std::string_view, std::vector<const Repeats*>> m2_of;
  for (const Repeats& group : groups)
    if (group.spectral() && group.first().condition == Condition::m2)
      m2_of[group.name()].push_back(&group);
  WeightsShelf shelf(*standard_light("D50"), Observer::deg2);
  std::vector<Brightener> found;
  for (const Repeats& with : groups) {
    if (!with.spectral() || with.first().condition != Condition::m1) continue;
    for (const Repeats* without : m2_of[with.name()]) {
      if (!is_brightener_pair(with.first(), without->first())) continue;
      const auto m1 = MENDTONE_TRY(colour_of(with, shelf));
      const auto m2 = MENDTONE_TRY(colour_of(*without, shelf));
      found.push_back(brightener(with.name(), m1, m2));
    }
  }
  return found;
}

}  // namespace mendtone
