#include "mendtone/materials/tissue.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "mendtone/base/numbers.hpp"
#include "mendtone/optics/inversion.hpp"
#include "mendtone/optics/many_flux_inversion.hpp"

namespace mendtone {
namespace {

struct Pair {
  OverBacking dark, light;
};

std::string at(double nm) {
  return "at " + shortest(nm) + " nm ";
}

std::string in_words(const Pair& pair) {
  return "it reads " + fixed(pair.dark.R, 3) + " over the backing of " + fixed(pair.dark.Rg, 3) +
         " and " + fixed(pair.light.R, 3) + " over the backing of " + fixed(pair.light.Rg, 3);
}

Error impossible(double nm, const Pair& pair, double misfit) {
  const bool reversed = pair.light.R < pair.dark.R;
  return bad_input(at(nm) + in_words(pair) +
                   (reversed ? ": brighter over the darker backing; are two readings swapped?"
                             : ": no sheet does that (the nearest is out by " + fixed(misfit, 3) +
                                   "); is a backing wrong, or does the sheet fluoresce?"));
}

/// The darker backing first, band by band; refuses backings that are too alike.
Result<Pair> ordered(double nm, OverBacking one, OverBacking other) {
  if (std::abs(one.Rg - other.Rg) < 0.02)
    return bad_input(at(nm) + "the two backings are too alike to tell a body by: " +
                     fixed(one.Rg, 3) + " and " + fixed(other.Rg, 3));
  if (one.Rg > other.Rg) std::swap(one, other);
  return Pair{one, other};
}

LayerFound inside_layer(Pair pair, int plies, const Surfaces& surfaces) {
  const InterfaceCorrection& interface = surfaces.interface;
  pair.dark.R -= interface.seen_gloss();
  pair.light.R -= interface.seen_gloss();
  LayerFound found = layer_from_two_backings(pair.dark, pair.light);
  if (interface.none() || found.body == BodyKind::impossible) return found;

  // Identical plies with air between are, from outside, one layer n times as thick.
  const int apart = surfaces.joint == Joint::air ? plies : 1;
  const Slab inside = inside_of(layer(found.KX / apart, found.SX / apart), interface);
  LayerCoefficients c = opaque_layer(std::clamp(inside.R12, 0.0, 0.9999));
  if (found.body != BodyKind::opaque) {
    if (inside.R12 < -1e-12) found.body = BodyKind::no_scattering;
    if (inside.R12 + inside.T > 1 + 1e-12) found.body = BodyKind::no_absorption;
    c = coefficients(std::max(inside.R12, 0.0), inside.T);
  }
  found.KX = apart * c.KX;
  found.SX = apart * c.SX;
  return found;
}

void count(const LayerFound& band, BandCounts& all) {
  ++all.bands;
  all.opaque += band.body == BodyKind::opaque;
  all.no_absorption += band.body == BodyKind::no_absorption;
  all.no_scattering += band.body == BodyKind::no_scattering;
  if (band.body != BodyKind::determined) all.worst_misfit = std::max(all.worst_misfit, band.misfit);
}

std::string of_bands(std::size_t count, std::size_t all) {
  return std::to_string(count) + " of " + std::to_string(all) + " bands";
}

}  // namespace

std::vector<std::string> in_words(const BandCounts& counts) {
  std::vector<std::string> words;
  if (counts.opaque > 0)
    words.push_back("opaque in " + of_bands(counts.opaque, counts.bands) +
                    ": the two readings differ by less than 0.001, S is not determined there; "
                    "R-infinity is kept and transmission is not known");
  if (counts.no_absorption > 0)
    words.push_back("the readings asked for absorption below 0 in " +
                    of_bands(counts.no_absorption, counts.bands) + "; 0 was used");
  if (counts.no_scattering > 0)
    words.push_back("the readings asked for scattering below 0 in " +
                    of_bands(counts.no_scattering, counts.bands) + "; 0 was used");
  if (counts.worst_misfit > reading_noise)
    words.push_back("its body misses its own readings by up to " + fixed(counts.worst_misfit, 3) +
                    ", more than noise explains");
  return words;
}

std::vector<Slab> stacked(const Ply& ply, int plies) {
  assert(plies >= 0);
  std::vector<Slab> slabs(ply.K.size());
  for (std::size_t i = 0; i < slabs.size(); ++i)
    slabs[i] = slab_of(ply.model, plies * ply.K[i], plies * ply.S[i]);
  return slabs;
}

std::vector<Slab> piled(const Ply& ply, int plies, const Surfaces& surfaces) {
  if (surfaces.interface.none()) return stacked(ply, plies);
  assert(ply.model == LayerModel::two_fluxes);
  std::vector<Slab> slabs(ply.K.size());
  for (std::size_t i = 0; i < slabs.size(); ++i)
    slabs[i] = pile(layer(ply.K[i], ply.S[i]), plies, surfaces.joint, surfaces.interface);
  return slabs;
}

std::vector<double> predicted_over(const Ply& ply, int plies, std::span<const double> Rg,
                                   const Surfaces& surfaces) {
  assert(Rg.size() == ply.K.size());
  const std::vector<Slab> slabs = piled(ply, plies, surfaces);
  std::vector<double> R(slabs.size());
  for (std::size_t i = 0; i < R.size(); ++i)
    R[i] = over(slabs[i], Rg[i]) + surfaces.interface.seen_gloss();
  return R;
}

Result<PlyFound> ply_from_two_backings(const WavelengthGrid& grid, const ReadOver& one,
                                       const ReadOver& other, int plies, const Surfaces& surfaces) {
  assert(plies >= 1);
  const std::size_t bands = grid.size();
  assert(one.R.size() == bands && one.Rg.size() == bands);
  assert(other.R.size() == bands && other.Rg.size() == bands);
  PlyFound found;
  found.ply = {grid, std::vector<double>(bands), std::vector<double>(bands),
               std::vector<bool>(bands, false)};
  for (std::size_t i = 0; i < bands; ++i) {
    const auto pair =
        MENDTONE_TRY(ordered(grid.nm()[i], {one.R[i], one.Rg[i]}, {other.R[i], other.Rg[i]}));
    const LayerFound band = inside_layer(pair, plies, surfaces);
    if (band.body == BodyKind::impossible) return impossible(grid.nm()[i], pair, band.misfit);
    count(band, found.counts);
    found.ply.K[i] = band.KX / plies;
    found.ply.S[i] = band.SX / plies;
    found.ply.opaque[i] = band.body == BodyKind::opaque;
  }
  return found;
}

Result<PlyFound> ply_from_readings(const WavelengthGrid& grid, std::span<const PlyReading> readings,
                                   Viewing viewing) {
  assert(readings.size() >= 2);
  const std::size_t bands = grid.size();
  PlyFound found;
  found.ply = {grid, std::vector<double>(bands), std::vector<double>(bands),
               std::vector<bool>(bands, false), many_fluxes(viewing)};
  std::vector<PathReading> band(readings.size());
  for (std::size_t i = 0; i < bands; ++i) {
    for (std::size_t r = 0; r < band.size(); ++r) {
      const PlyReading& reading = readings[r];
      band[r] = {
          reading.Rg.empty() ? PathReading::Kind::transmitted : PathReading::Kind::over_backing,
          reading.value[i], reading.Rg.empty() ? 0 : reading.Rg[i], reading.plies};
    }
    const Pair pair = MENDTONE_TRY(
        ordered(grid.nm()[i], {band[0].value, band[0].Rg}, {band[1].value, band[1].Rg}));
    const PathFound path = path_from(band, viewing);
    if (path.body == BodyKind::impossible) return impossible(grid.nm()[i], pair, path.misfit);
    count({0, 0, path.body, path.misfit}, found.counts);
    if (band.size() > 2)
      found.counts.worst_misfit = std::max(found.counts.worst_misfit, path.misfit);
    found.ply.K[i] = path.path.absorption;
    found.ply.S[i] = path.path.scattering;
    found.ply.opaque[i] = path.body == BodyKind::opaque;
  }
  return found;
}

Result<FacesFound> sheet_from_both_faces(const WavelengthGrid& grid, const ReadOver& front_one,
                                         const ReadOver& front_other, const ReadOver& back_one,
                                         const ReadOver& back_other) {
  FacesFound found;
  std::size_t opaque = 0;
  for (std::size_t i = 0; i < grid.size(); ++i) {
    const double nm = grid.nm()[i];
    const auto front = MENDTONE_TRY(
        ordered(nm, {front_one.R[i], front_one.Rg[i]}, {front_other.R[i], front_other.Rg[i]}));
    const auto back = MENDTONE_TRY(
        ordered(nm, {back_one.R[i], back_one.Rg[i]}, {back_other.R[i], back_other.Rg[i]}));
    const SlabFound band = slab_from_both_faces(front.dark, front.light, back.dark, back.light);
    if (band.misfit > impossible_beyond) return impossible(nm, front, band.misfit);
    found.worst_misfit = std::max(found.worst_misfit, band.misfit);
    found.body.push_back(band.slab);
    found.opaque.push_back(band.opaque);
    opaque += band.opaque;
  }
  if (opaque > 0)
    found.warnings.push_back("opaque in " + of_bands(opaque, grid.size()) +
                             ": neither face shows the backing; transmission is not known");
  if (found.worst_misfit > reading_noise)
    found.warnings.push_back("the two faces' readings disagree by up to " +
                             fixed(found.worst_misfit, 3) + ", more than noise explains");
  return found;
}

}  // namespace mendtone
