#include "mendtone/optics/many_flux_inversion.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "mendtone/optics/layer_model.hpp"

namespace mendtone {
namespace {

using Kind = PathReading::Kind;

/// The normal equations of a least squares in two unknowns.
struct Normal {
  double KK = 0, KS = 0, SS = 0, K = 0, S = 0, square = 0;
};

Normal at(std::span<const PathReading> readings, const Path& ply, Viewing viewing) {
  Normal n;
  for (const PathReading& reading : readings) {
    const PathPrediction p = predicted(reading, ply, viewing);
    const double miss = reading.value - p.value;
    n.KK += p.by_path.absorption * p.by_path.absorption;
    n.KS += p.by_path.absorption * p.by_path.scattering;
    n.SS += p.by_path.scattering * p.by_path.scattering;
    n.K += p.by_path.absorption * miss;
    n.S += p.by_path.scattering * miss;
    n.square += miss * miss;
  }
  return n;
}

/// No further than tenfold in one step, so that a flat place cannot throw the search away.
double bounded(double step, double from) {
  return std::clamp(step, -from, 10 * (0.1 + from));
}

/// The damped step that stays within K >= 0 and S >= 0: both free, or one of them held at 0.
Path step(const Normal& n, const Path& from, double damping) {
  constexpr double nothing = 1e-200;  // slopes that rounding has left
  const double KK = n.KK * (1 + damping) + nothing, SS = n.SS * (1 + damping) + nothing;
  const double determinant = KK * SS - n.KS * n.KS;
  if (!(determinant > 1e-13 * KK * SS))  // the two say the same: one at a time
    return {bounded(n.K / KK / 2, from.absorption), bounded(n.S / SS / 2, from.scattering)};
  Path by{(n.K * SS - n.S * n.KS) / determinant, (n.S * KK - n.K * n.KS) / determinant};
  // Held at its limit, one has moved just so far, and the other is found given that.
  if (from.absorption + by.absorption < 0) {
    by.absorption = -from.absorption;
    by.scattering = (n.S - n.KS * by.absorption) / SS;
  }
  if (from.scattering + by.scattering < 0) {
    by.scattering = -from.scattering;
    by.absorption = (n.K - n.KS * by.scattering) / KK;
  }
  return {bounded(by.absorption, from.absorption), bounded(by.scattering, from.scattering)};
}

/// Levenberg and Marquardt's descent.
Path descended(std::span<const PathReading> readings, Path ply, Viewing viewing) {
  Normal now = at(readings, ply, viewing);
  double damping = 1e-3;
  for (int round = 0; round < 100 && damping < 1e12; ++round) {
    const Path by = step(now, ply, damping);
    const Path next{ply.absorption + by.absorption, ply.scattering + by.scattering};
    const Normal there = at(readings, next, viewing);
    const bool still = std::abs(by.absorption) <= 1e-14 * (1 + ply.absorption) &&
                       std::abs(by.scattering) <= 1e-14 * (1 + ply.scattering);
    if (there.square <= now.square) {
      ply = next;
      now = there;
      damping = damping > 1e-9 ? damping / 30 : 0;
      if (still) break;
    } else {
      if (still) break;
      damping = std::max(damping * 10, 1e-6);
    }
  }
  return ply;
}

/// The two reflectance readings that differ most in what lies behind; one alone twice.
struct Extremes {
  const PathReading* dark = nullptr;
  const PathReading* light = nullptr;
};
Extremes extremes(std::span<const PathReading> readings) {
  Extremes e;
  for (const PathReading& r : readings) {
    if (r.kind != Kind::over_backing) continue;
    if (e.dark == nullptr || r.Rg < e.dark->Rg) e.dark = &r;
    if (e.light == nullptr || r.Rg > e.light->Rg) e.light = &r;
  }
  return e;
}

/// A guess from two fluxes, whose K and S are about twice and three quarters of these.
Path guess(std::span<const PathReading> readings) {
  const Extremes e = extremes(readings);
  if (e.dark != nullptr && e.light->Rg > e.dark->Rg && e.dark->plies == e.light->plies) {
    const LayerFound two =
        layer_from_two_backings({e.dark->value, e.dark->Rg}, {e.light->value, e.light->Rg});
    if (two.body != BodyKind::opaque && two.body != BodyKind::impossible)
      return {two.KX / 2 / e.dark->plies, two.SX / 0.85 / e.dark->plies};
  }
  for (const PathReading& r : readings)
    if (r.kind == Kind::transmitted) return {0.05 / r.plies, 1 / std::max(0.05, r.value) / r.plies};
  return {0.05, 1};
}

double misfit(std::span<const PathReading> readings, const Path& ply, Viewing viewing) {
  double most = 0;
  for (const PathReading& reading : readings)
    most = std::max(most, std::abs(predicted(reading, ply, viewing).value - reading.value));
  return most;
}

/// The rows of the pseudo-inverse: how the fit answers to each reading.
std::vector<Path> answers(std::span<const PathReading> readings, const Path& ply, Viewing viewing,
                          bool K_free, bool S_free) {
  const Normal n = at(readings, ply, viewing);
  std::vector<Path> by;
  for (const PathReading& reading : readings) {
    const Path slope = predicted(reading, ply, viewing).by_path;
    Path answer;
    if (K_free && S_free) {
      const double determinant = n.KK * n.SS - n.KS * n.KS;
      answer = {(slope.absorption * n.SS - slope.scattering * n.KS) / determinant,
                (slope.scattering * n.KK - slope.absorption * n.KS) / determinant};
    } else if (S_free) {
      answer = {0, slope.scattering / n.SS};
    } else if (K_free) {
      answer = {slope.absorption / n.KK, 0};
    }
    by.push_back(answer);
  }
  return by;
}

/// Nothing shines through: the readings differ less than noise, though what is behind does not.
bool hides(std::span<const PathReading> readings) {
  const Extremes e = extremes(readings);
  for (const PathReading& r : readings)
    if (r.kind == Kind::transmitted && r.value > 0) return false;
  return e.dark != nullptr && e.light->Rg > e.dark->Rg &&
         std::abs(e.light->value - e.dark->value) < opaque_below;
}

}  // namespace

PathPrediction predicted(const PathReading& reading, const Path& ply, Viewing viewing) {
  const double n = reading.plies;
  const SlabSlopes s = many_flux_slopes({n * ply.absorption, n * ply.scattering}, viewing);
  if (reading.kind == Kind::transmitted)
    return {s.at.out, {n * s.by_absorption.out, n * s.by_scattering.out}};
  const OverSlopes read = over_slopes(s, reading.Rg);
  return {read.R, {n * read.by_absorption, n * read.by_scattering}};
}

// Along K + S = const from black to white what is read only rises.
Path opaque_path(double R, Viewing viewing) {
  assert(R >= 0 && R < 1);
  constexpr double depth = 1e4;
  double low = 0, high = 1;  // of sqrt(K / S), in which reading is nearly even
  const auto at_share = [&](double root) {
    const double ratio = root / (1 - root);  // K / S = ratio^2
    const double S = depth / (1 + ratio * ratio);
    return Path{depth - S, S};
  };
  for (int round = 0; round < 60; ++round) {
    const double middle = (low + high) / 2;
    (many_flux(at_share(middle), viewing).seen > R ? low : high) = middle;
  }
  return R == 0 ? Path{depth, 0} : at_share((low + high) / 2);
}

PathFound path_from(std::span<const PathReading> readings, Viewing viewing) {
  assert(readings.size() >= 2);
  PathFound found;
  if (hides(readings)) {
    const Extremes e = extremes(readings);
    const double R = std::clamp((e.dark->value + e.light->value) / 2, 0.0, 0.9999);
    found = {opaque_path(R, viewing), BodyKind::opaque, 0,
             std::vector<Path>(readings.size(), Path{0, 0})};
    found.misfit = misfit(readings, found.path, viewing);
    return found;
  }
  found.path = descended(readings, guess(readings), viewing);
  found.misfit = misfit(readings, found.path, viewing);
  // Readings are not convex in the ply: what does not fit is tried from elsewhere too.
  constexpr double met = 1e-9;
  for (const Path& elsewhere : {Path{1e-4, 30}, Path{0.01, 5}, Path{1, 0.1}}) {
    if (found.misfit < met) break;
    const Path other = descended(readings, elsewhere, viewing);
    if (at(readings, other, viewing).square < at(readings, found.path, viewing).square)
      found.path = other;
    found.misfit = misfit(readings, found.path, viewing);
  }
  constexpr double rounding = 1e-12;
  const bool K_free = found.path.absorption > 0, S_free = found.path.scattering > 0;
  // A sheet without absorption may be just that; noise made it so where its readings do not fit.
  if (found.misfit > rounding && !S_free) found.body = BodyKind::no_scattering;
  if (found.misfit > rounding && !K_free) found.body = BodyKind::no_absorption;
  if (found.misfit > impossible_beyond) found.body = BodyKind::impossible;
  found.by_reading = answers(readings, found.path, viewing, K_free, S_free);
  return found;
}

}  // namespace mendtone
