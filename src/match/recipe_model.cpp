#include <algorithm>
#include <cassert>
#include <cmath>

#include "match/recipe_search.hpp"
#include "mendtone/colour/difference.hpp"

namespace mendtone {
namespace {

/// Inside reflectance of what a film wets, so that a film of no thickness reads as the bare fill.
double inside(double R, const InterfaceCorrection& c) {
  if (c.none()) return R;
  const double seen = R - c.k1, A = (1 - c.ke) * (1 - c.k2);
  return std::max(0.0, seen / (A + c.k2 * seen));
}

double outside(double R, const InterfaceCorrection& c) {
  if (c.none()) return R;
  return c.k1 + (1 - c.ke) * (1 - c.k2) * R / (1 - c.k2 * R);
}

struct Mixture {
  std::vector<double> K, S;
};

/// The added material's whole K and S: all plies, or the film.
Mixture mixture(const WashProblem& problem, const std::vector<double>& loads) {
  const Palette& palette = problem.palette;
  const bool film = palette.application == Application::film;
  const double plies = film ? 1 : problem.plies;
  const std::size_t bands = palette.grid.size();
  Mixture mix{std::vector<double>(bands, 0.0), std::vector<double>(bands, 0.0)};
  if (!film) {
    mix.K = problem.ply.K;
    mix.S = problem.ply.S;
  }
  for (std::size_t c = 0; c < palette.colorants.size(); ++c) {
    const double u = palette.colorants[c].law.value(loads[c]);
    for (std::size_t b = 0; b < bands; ++b) {
      mix.K[b] += palette.colorants[c].k[b] * u;
      mix.S[b] += palette.colorants[c].s[b] * u;
    }
  }
  for (double& K : mix.K) K *= plies;
  for (double& S : mix.S) S *= plies;
  return mix;
}

double transmittance(const WashProblem& problem, const Slab& fill, std::size_t b) {
  if (problem.place.above.empty()) return fill.T;
  return in_front(problem.place.above[b], fill).T;
}

double squared(double x) { return x * x; }

double load_share(const WashProblem& problem, const std::vector<double>& loads) {
  double share = 0;
  for (std::size_t c = 0; c < loads.size(); ++c)
    if (loads[c] > 0) share += loads[c] / problem.max_load[c];
  return share;
}

}  // namespace

Lab offset(const Lab& sheet, double dL, double dC) {
  Lch lch = lab_to_lch(sheet);
  lch.L += dL;
  lch.C = std::max(0.0, lch.C + dC);
  return lch_to_lab(lch);
}

std::vector<double> predict_reflectance(const WashProblem& problem,
                                        const std::vector<double>& loads) {
  assert(loads.size() == problem.palette.colorants.size());
  const Mixture mix = mixture(problem, loads);
  const bool film = problem.palette.application == Application::film;
  const InterfaceCorrection& face = problem.palette.interface;
  std::vector<double> R(mix.K.size());
  for (std::size_t b = 0; b < R.size(); ++b) {
    const double below = film ? inside(problem.place.below[b], face) : problem.place.below[b];
    R[b] = over(layer(mix.K[b], mix.S[b]), below);
    if (film) R[b] = outside(R[b], face);
    if (!problem.place.above.empty()) R[b] = over(problem.place.above[b], R[b]);
  }
  return R;
}

Predicted predict(const WashProblem& problem, const std::vector<double>& loads) {
  const std::vector<double> R = predict_reflectance(problem, loads);
  Predicted result;
  double eighth_powers = 0;
  for (const LightAim& light : problem.lights) {
    const Lab lab = light.weights.lab(R);
    result.by_light.push_back(
        {light.weights.light, lab, de00(light.sheet, lab), de00(light.aim, lab)});
    eighth_powers += std::pow(result.by_light.back().aim_de00, 8);
    if (result.by_light.back().de00 > result.by_light[result.worst].de00)
      result.worst = result.by_light.size() - 1;
  }
  const RecipeWeights& w = problem.weights;
  double F = w.viewing * squared(result.by_light[0].aim_de00) + w.worst * std::pow(eighth_powers, 0.25) +
             w.load * load_share(problem, loads);
  for (double load : loads) F += load > 0 ? w.colorants : 0;
  if (problem.transmitted.known) {
    const Mixture mix = mixture(problem, loads);
    std::vector<double> T(R.size());
    for (std::size_t b = 0; b < T.size(); ++b)
      T[b] = transmittance(problem, layer(mix.K[b], mix.S[b]), b);
    result.transmitted = problem.transmitted.weights.lab(T);
    result.transmitted_de00 = de00(problem.transmitted.sheet, *result.transmitted);
    F += w.transmitted * squared(result.transmitted_de00);
  }
  result.objective = std::sqrt(F);
  return result;
}

namespace detail {
namespace {

template <class Real>
Standard<Real> standard(const Lab& lab) {
  return {static_cast<Real>(lab.L), static_cast<Real>(lab.a), static_cast<Real>(lab.b),
          static_cast<Real>(std::hypot(lab.a, lab.b))};
}

template <class Real>
CompiledLight<Real> compiled_light(const TristimulusWeights& weights, const Lab& aim) {
  CompiledLight<Real> light{{}, standard<Real>(aim)};
  for (std::size_t b = 0; b < weights.wx.size(); ++b)
    for (double w : {weights.wx[b] / weights.white.X, weights.wy[b] / weights.white.Y,
                     weights.wz[b] / weights.white.Z})
      light.w.push_back(static_cast<Real>(w));
  return light;
}

template <class Real>
Strength<Real> strength_of(const LoadLaw& law, double max_load, double least) {
  Strength<Real> s{static_cast<Real>(law.value(max_load)), 1, 0,
                   static_cast<Real>(law.value(least))};
  if (law.kind == LoadLaw::Kind::power) s.e = static_cast<Real>(1 / law.parameter);
  if (law.kind == LoadLaw::Kind::saturating) s.r = static_cast<Real>(max_load / law.parameter);
  return s;
}

template <class Real>
BandPlace<Real> place_of(const WashProblem& problem, std::size_t b) {
  const InterfaceCorrection& face = problem.palette.interface;
  const bool film = problem.palette.application == Application::film;
  double below = problem.place.below[b], p = 0, q = 1, r = 0, t = 1, v = 0;
  if (film && !face.none()) {
    below = inside(below, face);
    p = face.k1;
    q = (1 - face.ke) * (1 - face.k2) - face.k1 * face.k2;
    r = face.k2;
  }
  if (!problem.place.above.empty()) {
    const Slab& a = problem.place.above[b];
    // One Moebius map after the other: above(interface(R)).
    const double m = a.T * a.T - a.R12 * a.R21;
    const double P = a.R12 + m * p, Q = m * q - a.R12 * r, D = 1 - a.R21 * p, R = r + a.R21 * q;
    p = P / D;
    q = Q / D;
    r = R / D;
    t = a.T;
    v = a.R21;
  }
  return {static_cast<Real>(below), static_cast<Real>(p), static_cast<Real>(q),
          static_cast<Real>(r),     static_cast<Real>(t), static_cast<Real>(v)};
}

template <class Real>
std::vector<Real> scaled_to(const std::vector<double>& values, double by) {
  std::vector<Real> out;
  for (double value : values) out.push_back(static_cast<Real>(value * by));
  return out;
}

}  // namespace

double load_of(const LoadLaw& law, double u) {
  switch (law.kind) {
    case LoadLaw::Kind::power: return u > 0 ? std::pow(u, 1 / law.parameter) : 0;
    case LoadLaw::Kind::saturating: return u / (1 - u / law.parameter);
    case LoadLaw::Kind::linear: break;
  }
  return u;
}

template <class Real>
Compiled<Real> compile(const WashProblem& problem, const std::vector<double>& at_least) {
  const Palette& palette = problem.palette;
  const bool film = palette.application == Application::film;
  const double plies = film ? 1 : problem.plies;
  Compiled<Real> out;
  out.bands = palette.grid.size();
  out.K0 = film ? std::vector<Real>(out.bands, 0) : scaled_to<Real>(problem.ply.K, plies);
  out.S0 = film ? std::vector<Real>(out.bands, 0) : scaled_to<Real>(problem.ply.S, plies);
  for (std::size_t b = 0; b < out.bands; ++b) out.place.push_back(place_of<Real>(problem, b));
  for (std::size_t c = 0; c < palette.colorants.size(); ++c) {
    const Colorant& colorant = palette.colorants[c];
    out.k.push_back(scaled_to<Real>(colorant.k, plies));
    out.s.push_back(scaled_to<Real>(colorant.s, plies));
    out.strength.push_back(strength_of<Real>(colorant.law, problem.max_load[c],
                                             at_least.empty() ? 0 : at_least[c]));
  }
  for (const LightAim& light : problem.lights)
    out.lights.push_back(compiled_light<Real>(light.weights, light.aim));
  out.with_T = problem.transmitted.known && problem.weights.transmitted > 0;
  if (out.with_T)
    out.transmitted =
        compiled_light<Real>(problem.transmitted.weights, problem.transmitted.sheet);
  out.w_viewing = static_cast<Real>(problem.weights.viewing);
  out.w_worst = static_cast<Real>(problem.weights.worst);
  out.w_transmitted = static_cast<Real>(problem.weights.transmitted);
  out.w_load = static_cast<Real>(problem.weights.load);
  return out;
}

template Compiled<float> compile(const WashProblem&, const std::vector<double>&);
template Compiled<double> compile(const WashProblem&, const std::vector<double>&);

}  // namespace detail
}  // namespace mendtone
