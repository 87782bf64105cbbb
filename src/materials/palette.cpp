#include "mendtone/materials/palette.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "materials/learnt.hpp"
#include "materials/response.hpp"
#include "materials/screened.hpp"

namespace mendtone {
namespace {

constexpr double least_load = 1e-6;  // where the slope of a power below 1 is cut

/// A film stands over the inside reflectance of what it wets.
std::vector<double> wetted(const Palette& palette, std::span<const double> below) {
  if (below.empty() && palette.application == Application::film) below = palette.support;
  assert(below.size() == palette.grid.size());
  std::vector<double> inside(below.begin(), below.end());
  if (palette.application == Application::film && !palette.interface.none())
    for (double& R : inside) R = palette.interface.inward(R);
  return inside;
}

}  // namespace

std::string_view name_of(Application application) {
  return application == Application::film ? "film" : "absorbed";
}

std::optional<Application> application_from(std::string_view name) {
  if (name == "film") return Application::film;
  if (name == "absorbed") return Application::absorbed;
  return std::nullopt;
}

std::string_view name_of(LoadLaw::Kind kind) {
  switch (kind) {
    case LoadLaw::Kind::power:
      return "power";
    case LoadLaw::Kind::saturating:
      return "saturating";
    case LoadLaw::Kind::linear:
      break;
  }
  return "linear";
}

double LoadLaw::value(double c) const {
  switch (kind) {
    case Kind::power:
      return c > 0 ? std::pow(c, parameter) : 0;
    case Kind::saturating:
      return c / (1 + c / parameter);
    case Kind::linear:
      break;
  }
  return c;
}

double LoadLaw::slope(double c) const {
  switch (kind) {
    case Kind::power:
      return parameter * std::pow(std::max(c, least_load), parameter - 1);
    case Kind::saturating:
      return 1 / ((1 + c / parameter) * (1 + c / parameter));
    case Kind::linear:
      break;
  }
  return 1;
}

std::size_t parameter_count(const Palette& palette) {
  return 2 * palette.colorants.size() * (palette.grid.size() + 1) + 4;
}

Unscreened unscreened(const Palette& palette, std::span<const double> loads) {
  assert(loads.size() == palette.colorants.size());
  const std::size_t bands = palette.grid.size();
  Unscreened sum{std::vector<double>(bands, 0.0), std::vector<double>(bands, 0.0)};
  double filled = 0;
  for (std::size_t j = 0; j < loads.size(); ++j) {
    if (loads[j] == 0) continue;
    const Colorant& colorant = palette.colorants[j];
    const double h = colorant.law.value(loads[j]);
    filled += colorant.filling * h;
    for (std::size_t i = 0; i < bands; ++i) {
      sum.A[i] += colorant.k[i] * h;
      sum.S[i] += colorant.s[i] * h;
    }
  }
  if (palette.learnt) {
    const std::vector<double> factor = learnt_factor(*palette.learnt, loads);
    for (std::size_t i = 0; i < bands; ++i) sum.A[i] *= factor[i];
  }
  if (palette.application == Application::film) return sum;
  sum.unfilled = std::exp(-filled);
  for (std::size_t i = 0; i < bands; ++i) sum.S[i] += palette.ply.S[i] * sum.unfilled;
  return sum;
}

Body body(const Palette& palette, std::span<const double> loads) {
  const Unscreened sum = unscreened(palette, loads);
  const bool absorbed = palette.application == Application::absorbed;
  Body one{sum.A, sum.S};
  for (std::size_t i = 0; i < one.K.size(); ++i) {
    const double K = screened(sum.A[i], palette.screening).K;
    one.S[i] = quenched(sum.S[i], K, palette.quenching).S;
    one.K[i] = absorbed ? palette.ply.K[i] + K : K;
  }
  return one;
}

BodySlopes body_slopes(const Palette& palette, std::span<const double> loads) {
  const std::size_t bands = palette.grid.size(), n = loads.size();
  const Unscreened sum = unscreened(palette, loads);
  const bool absorbed = palette.application == Application::absorbed;
  BodySlopes at{body(palette, loads), std::vector<double>(n * bands),
                std::vector<double>(n * bands)};
  LearntSlopes learnt;
  if (palette.learnt) learnt = learnt_slopes(*palette.learnt, loads);
  for (std::size_t i = 0; i < bands; ++i) {
    const ScreenedK K = screened(sum.A[i], palette.screening);
    const QuenchedS S = quenched(sum.S[i], K.K, palette.quenching);
    for (std::size_t j = 0; j < n; ++j) {
      const Colorant& colorant = palette.colorants[j];
      const double slope = colorant.law.slope(loads[j]);
      double dA = colorant.k[i] * slope, dS = colorant.s[i] * slope;
      if (absorbed) dS -= palette.ply.S[i] * sum.unfilled * colorant.filling * slope;
      if (palette.learnt) dA = dA * learnt.factor[i] + sum.A[i] * learnt.dlog[j * bands + i];
      const double dK = K.by_A * dA;
      at.dK[j * bands + i] = dK;
      at.dS[j * bands + i] = S.by_S * dS + S.by_K * dK;
    }
  }
  return at;
}

std::vector<Slab> slabs(const Palette& palette, std::span<const double> loads, int plies) {
  assert(plies >= 0 && (palette.application == Application::absorbed || plies == 1));
  const Body one = body(palette, loads);
  std::vector<Slab> result(one.K.size());
  for (std::size_t i = 0; i < result.size(); ++i)
    result[i] = slab_of(palette.model, plies * one.K[i], plies * one.S[i]);
  return result;
}

std::vector<double> reflectance(const Palette& palette, std::span<const double> loads, int plies,
                                std::span<const double> below) {
  const std::vector<double> inside = wetted(palette, below);
  const std::vector<Slab> slab = slabs(palette, loads, plies);
  std::vector<double> R(slab.size());
  for (std::size_t i = 0; i < R.size(); ++i) R[i] = over(slab[i], inside[i]);
  if (palette.application == Application::film && !palette.interface.none())
    for (double& value : R) value = palette.interface.outward(value);
  return R;
}

Response response(const Palette& palette, const Body& one, int plies,
                  std::span<const double> below) {
  const std::vector<double> inside = wetted(palette, below);
  const std::size_t bands = inside.size();
  const bool glossy = palette.application == Application::film && !palette.interface.none();
  Response at;
  for (auto* values : {&at.R, &at.T, &at.by_K, &at.by_S, &at.T_by_K, &at.T_by_S})
    values->resize(bands);
  for (std::size_t i = 0; i < bands; ++i) {
    const SlabSlopes slab = slab_slopes_of(palette.model, plies * one.K[i], plies * one.S[i]);
    const OverSlopes read = over_slopes(slab, inside[i]);
    const double outer = plies * (glossy ? palette.interface.outward_slope(read.R) : 1.0);
    at.R[i] = glossy ? palette.interface.outward(read.R) : read.R;
    at.by_K[i] = outer * read.by_absorption;
    at.by_S[i] = outer * read.by_scattering;
    at.T[i] = slab.at.out;
    at.T_by_K[i] = plies * slab.by_absorption.out;
    at.T_by_S[i] = plies * slab.by_scattering.out;
  }
  return at;
}

SwatchSlopes swatch_slopes(const Palette& palette, std::span<const double> loads, int plies,
                           std::span<const double> below) {
  const BodySlopes one = body_slopes(palette, loads);
  const Response by_body = response(palette, one.body, plies, below);
  const std::size_t bands = by_body.R.size(), n = loads.size();
  const bool film = palette.application == Application::film;
  SwatchSlopes at{by_body.R, std::vector<double>(n * bands), {}, {}};
  if (!film) {
    at.T = by_body.T;
    at.dT.resize(n * bands);
  }
  for (std::size_t j = 0; j < n; ++j)
    for (std::size_t i = 0; i < bands; ++i) {
      const std::size_t ji = j * bands + i;
      at.dR[ji] = by_body.by_K[i] * one.dK[ji] + by_body.by_S[i] * one.dS[ji];
      if (!film) at.dT[ji] = by_body.T_by_K[i] * one.dK[ji] + by_body.T_by_S[i] * one.dS[ji];
    }
  return at;
}

std::vector<double> transmittance(const Palette& palette, std::span<const double> loads,
                                  int plies) {
  assert(palette.application == Application::absorbed);
  std::vector<double> T;
  for (const Slab& slab : slabs(palette, loads, plies)) T.push_back(slab.out);
  return T;
}

}  // namespace mendtone
