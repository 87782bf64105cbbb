#include <algorithm>
#include <array>
#include <cmath>
#include <functional>

#include "match/recipe_search.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/difference.hpp"

namespace mendtone {
namespace {

double squared(double x) {
  return x * x;
}

double load_share(const WashProblem& problem, const std::vector<double>& loads) {
  double share = 0;
  for (std::size_t c = 0; c < loads.size(); ++c)
    if (loads[c] > 0) share += loads[c] / max_load_of(problem, c);
  return share;
}

bool is_film(const WashProblem& problem) {
  return problem.palette.application == Application::film;
}

}  // namespace

double max_load_of(const WashProblem& problem, std::size_t colorant) {
  return problem.max_load.empty() ? problem.palette.colorants[colorant].load_range[1]
                                  : problem.max_load[colorant];
}

Result<void> check(const WashProblem& problem, const std::vector<double>& loads) {
  std::vector<std::string> found = faults(problem);
  const std::size_t colorants = problem.palette.colorants.size();
  if (loads.size() != colorants)
    found.push_back("expected one load for each of " + std::to_string(colorants) +
                    " colorants, found " + std::to_string(loads.size()));
  for (double load : loads)
    if (!(load >= 0) || !std::isfinite(load))
      found.push_back("a load cannot be " + (std::isfinite(load) ? shortest(load) : "infinite"));
  if (found.empty()) return {};
  return bad_input(found, "wash problem");
}

Result<Predicted> predict(const WashProblem& problem, const std::vector<double>& loads) {
  MENDTONE_TRY(check(problem, loads));
  return predict_unchecked(problem, loads);
}

Result<std::vector<double>> predict_reflectance(const WashProblem& problem,
                                                const std::vector<double>& loads) {
  MENDTONE_TRY(check(problem, loads));
  return predict_reflectance_unchecked(problem, loads);
}

std::vector<double> predict_reflectance_unchecked(const WashProblem& problem,
                                                  const std::vector<double>& loads) {
  if (!is_film(problem))
    return seen_unchecked(problem.place, slabs(problem.palette, loads, problem.plies));
  return reflectance(problem.palette, loads, 1, problem.place.below);
}

Predicted predict_unchecked(const WashProblem& problem, const std::vector<double>& loads) {
  const std::vector<double> R = predict_reflectance_unchecked(problem, loads);
  Predicted result;
  double eighth_powers = 0;
  for (const LightAim& light : problem.lights) {
    const Lab lab = light.weights.lab_unchecked(R);
    result.by_light.push_back(
        {light.weights.light, lab, de00(light.sheet, lab), de00(light.aim, lab)});
    if (!light.predictable) continue;
    eighth_powers += std::pow(result.by_light.back().aim_de00, 8);
    if (result.by_light.back().de00 > result.by_light[result.worst].de00)
      result.worst = result.by_light.size() - 1;
  }
  const RecipeWeights& w = problem.weights;
  double F = w.viewing * squared(result.by_light[0].aim_de00) +
             w.worst * std::pow(eighth_powers, 0.25) + w.load * load_share(problem, loads);
  for (double load : loads) F += load > 0 ? w.colorants : 0;
  if (problem.transmitted.known) {
    result.transmitted = problem.transmitted.weights.lab_unchecked(
        shone_through_unchecked(problem.place, slabs(problem.palette, loads, problem.plies)));
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
  if (law.kind == LoadLaw::Kind::power) s.exponent = static_cast<Real>(1 / law.parameter);
  if (law.kind == LoadLaw::Kind::saturating)
    s.saturation = static_cast<Real>(max_load / law.parameter);
  return s;
}

template <class Real>
BandPlace<Real> place_of(const WashProblem& problem, std::size_t b) {
  const InterfaceCorrection& face = problem.palette.interface;
  double below = problem.place.below[b], p = 0, q = 1, r = 0, t = 1, v = 0;
  if (is_film(problem) && !face.none()) {
    below = face.inward(below);
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
  if (!problem.place.beneath.empty()) {
    t = problem.place.beneath[b].T;
    v = problem.place.beneath[b].R12;
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

/// How far a recipe's K and S may reach in a band.
struct Reach {
  double least_K = 0, most_K = 0, least_S = 0, most_S = 0;
};
template <class Real>
Reach reach_of(const Compiled<Real>& problem, std::size_t b) {
  std::vector<double> K, S, filling;
  for (std::size_t c = 0; c < problem.k.size(); ++c) {
    const auto most = static_cast<double>(problem.strength[c].u_max);
    K.push_back(most * static_cast<double>(problem.k[c][b]));
    S.push_back(most * static_cast<double>(problem.s[c][b]));
    filling.push_back(most * static_cast<double>(problem.filling[c]));
  }
  const auto of_largest = [](std::vector<double>& all) {
    std::sort(all.begin(), all.end(), std::greater<>());
    double sum = 0;
    for (std::size_t i = 0; i < std::min<std::size_t>(all.size(), most_colorants); ++i)
      sum += all[i];
    return sum;
  };
  const auto K0 = static_cast<double>(problem.K0[b]), S0 = static_cast<double>(problem.S0[b]);
  // A little beyond: rounding, and a range that is not empty.
  constexpr double more = 1.001, some = 1e-3;
  return {K0 / more, (K0 + of_largest(K)) * more + some,
          S0 * std::exp(-of_largest(filling)) / more, (S0 + of_largest(S)) * more + some};
}

/// What the fill shows at its place, and lets through.
struct Shown {
  double R = 0, T = 0;
};
Shown shown(const WashProblem& problem, std::size_t b, double K, double S) {
  const Slab fill = slab_of(problem.palette.model, K, S);
  const InterfaceCorrection& face = problem.palette.interface;
  const double below = problem.place.below[b];
  if (is_film(problem) && !face.none())
    return {face.outward(over(fill, face.inward(below))), fill.out};
  Slab mend = problem.place.above.empty() ? fill : in_front(problem.place.above[b], fill);
  const double R = over(mend, below);
  if (!problem.place.beneath.empty()) mend = in_front(mend, problem.place.beneath[b]);
  return {R, mend.out};
}

/// Coefficients of powers from values at Chebyshev's places cos((i + 1/2) pi / n): rows are powers.
std::vector<std::vector<double>> powers_from_places(int n) {
  const auto size = static_cast<std::size_t>(n);
  // T_k in powers, one row each: T_k = 2 x T_(k-1) - T_(k-2).
  std::vector<std::vector<double>> T(size, std::vector<double>(size, 0.0));
  T[0][0] = T[1][1] = 1;
  for (std::size_t k = 2; k < size; ++k)
    for (std::size_t p = 0; p < size; ++p)
      T[k][p] = (p > 0 ? 2 * T[k - 1][p - 1] : 0) - T[k - 2][p];
  std::vector<std::vector<double>> by(size, std::vector<double>(size, 0.0));
  for (std::size_t k = 0; k < size; ++k)
    for (std::size_t i = 0; i < size; ++i) {
      const double angle = std::acos(-1.0) * (static_cast<double>(i) + 0.5) / n;
      const double share = (k == 0 ? 1.0 : 2.0) / n * std::cos(static_cast<double>(k) * angle);
      for (std::size_t p = 0; p < size; ++p) by[p][i] += T[k][p] * share;
    }
  return by;
}

template <class Real>
BandSurface<Real> surface_of(const WashProblem& problem, const Compiled<Real>& compiled,
                             std::size_t b) {
  using Surface = BandSurface<Real>;
  constexpr int X = Surface::along_x, Y = Surface::along_y;
  static const auto in_x = powers_from_places(X), in_y = powers_from_places(Y);
  const Reach reach = reach_of(compiled, b);
  const auto bent = [](double K) { return K / (K + Surface::bend); };
  const auto bent_S = [](double S) { return S / (S + 1); };
  const double x_low = bent(reach.least_K), x_wide = (bent(reach.most_K) - x_low) / 2;
  const double y_low = bent_S(reach.least_S), y_wide = (bent_S(reach.most_S) - y_low) / 2;
  double R[Y][X], T[Y][X];
  for (int j = 0; j < Y; ++j)
    for (int i = 0; i < X; ++i) {
      const double pi = std::acos(-1.0);
      const double u = x_low + x_wide * (1 + std::cos(pi * (i + 0.5) / X));
      const double w = y_low + y_wide * (1 + std::cos(pi * (j + 0.5) / Y));
      const Shown at = shown(problem, b, Surface::bend * u / (1 - u), w / (1 - w));
      R[j][i] = at.R;
      T[j][i] = at.T;
    }
  Surface surface;
  // x = (K / (K + bend) - x_low) / x_wide - 1, and K / (K + bend) = 1 - bend / (K + bend).
  surface.x0 = static_cast<Real>((1 - x_low) / x_wide - 1);
  surface.x1 = static_cast<Real>(Surface::bend / x_wide);
  surface.y0 = static_cast<Real>((1 - y_low) / y_wide - 1);
  surface.y1 = static_cast<Real>(1 / y_wide);
  const auto put = [&](const double (&values)[Y][X], Real(&into)[Y][X]) {
    for (int q = 0; q < Y; ++q)
      for (int p = 0; p < X; ++p) {
        double sum = 0;
        for (int j = 0; j < Y; ++j)
          for (int i = 0; i < X; ++i)
            sum += in_y[static_cast<std::size_t>(q)][static_cast<std::size_t>(j)] *
                   in_x[static_cast<std::size_t>(p)][static_cast<std::size_t>(i)] * values[j][i];
        into[q][p] = static_cast<Real>(sum);
      }
  };
  put(R, surface.R);
  if (compiled.with_T) put(T, surface.T);
  return surface;
}

/// Whether some recipe's K (K + 2 S) may pass 256 in some band.
template <class Real>
bool may_be_deep(const Compiled<Real>& problem) {
  for (std::size_t b = 0; b < problem.bands; ++b) {
    double K = 0, S = 0;
    for (std::size_t c = 0; c < problem.k.size(); ++c) {
      K = std::max(K, static_cast<double>(problem.k[c][b]) * problem.strength[c].u_max);
      S = std::max(S, static_cast<double>(problem.s[c][b]) * problem.strength[c].u_max);
    }
    K = problem.K0[b] + most_colorants * K;
    S = problem.S0[b] + most_colorants * S;
    if (!(K * (K + 2 * S) < 250)) return true;
  }
  return false;
}

}  // namespace

double load_of(const LoadLaw& law, double u) {
  switch (law.kind) {
    case LoadLaw::Kind::power:
      return u > 0 ? std::pow(u, 1 / law.parameter) : 0;
    case LoadLaw::Kind::saturating:
      return u / (1 - u / law.parameter);
    case LoadLaw::Kind::linear:
      break;
  }
  return u;
}

template <class Real>
Compiled<Real> with_aims(Compiled<Real> compiled, const WashProblem& problem) {
  std::size_t m = 0;
  for (const LightAim& light : problem.lights)
    if (light.predictable) compiled.lights[m++].aim = standard<Real>(light.aim);
  if (compiled.with_T) compiled.transmitted.aim = standard<Real>(problem.transmitted.sheet);
  return compiled;
}

template <class Real>
Compiled<Real> compile(const WashProblem& problem, const std::vector<double>& at_least) {
  const Palette& palette = problem.palette;
  const bool film = is_film(problem);
  const double plies = film ? 1 : problem.plies;
  Compiled<Real> out;
  out.bands = palette.grid.size();
  out.K0 = film ? std::vector<Real>(out.bands, 0) : scaled_to<Real>(palette.ply.K, plies);
  out.S0 = film ? std::vector<Real>(out.bands, 0) : scaled_to<Real>(palette.ply.S, plies);
  for (std::size_t c = 0; c < palette.colorants.size(); ++c) {
    const Colorant& colorant = palette.colorants[c];
    out.k.push_back(scaled_to<Real>(colorant.k, plies));
    out.s.push_back(scaled_to<Real>(colorant.s, plies));
    out.filling.push_back(film ? 0 : static_cast<Real>(colorant.filling));
    out.strength.push_back(strength_of<Real>(colorant.law, max_load_of(problem, c),
                                             at_least.empty() ? 0 : at_least[c]));
  }
  out.screening = static_cast<Real>(palette.screening / plies);
  out.quenching = static_cast<Real>(palette.quenching);
  for (const LightAim& light : problem.lights)
    if (light.predictable) out.lights.push_back(compiled_light<Real>(light.weights, light.aim));
  out.with_T = problem.transmitted.known && problem.weights.transmitted > 0;
  if (out.with_T)
    out.transmitted = compiled_light<Real>(problem.transmitted.weights, problem.transmitted.sheet);
  for (std::size_t b = 0; b < out.bands; ++b)
    if (palette.model == LayerModel::two_fluxes)
      out.place.push_back(place_of<Real>(problem, b));
    else
      out.surface.push_back(surface_of(problem, out, b));
  out.deep = may_be_deep(out);
  out.w_viewing = static_cast<Real>(problem.weights.viewing);
  out.w_worst = static_cast<Real>(problem.weights.worst);
  out.w_transmitted = static_cast<Real>(problem.weights.transmitted);
  out.w_load = static_cast<Real>(problem.weights.load);
  return out;
}

namespace {

/// Weights of the cubic through four of `kept` around index `x`.
std::array<double, 4> cubic_weights(const std::vector<std::size_t>& kept, std::size_t first,
                                    double x) {
  std::array<double, 4> w{1, 1, 1, 1};
  for (std::size_t i = 0; i < 4; ++i)
    for (std::size_t j = 0; j < 4; ++j)
      if (i != j)
        w[i] *= (x - static_cast<double>(kept[first + j])) /
                (static_cast<double>(kept[first + i]) - static_cast<double>(kept[first + j]));
  return w;
}

}  // namespace

Compiled<float> thinned(const Compiled<float>& full) {
  constexpr std::size_t apart = 3;
  if (full.bands < 4 * apart) return full;
  std::vector<std::size_t> kept;
  for (std::size_t b = 0; b < full.bands; b += apart) kept.push_back(b);
  if (kept.back() != full.bands - 1) kept.push_back(full.bands - 1);
  const auto pick = [&](auto& values) {
    auto some = values;
    some.clear();
    for (std::size_t b : kept) some.push_back(values[b]);
    values = some;
  };
  const auto fold = [&](CompiledLight<float>& light) {
    std::vector<float> w(3 * kept.size(), 0.0F);
    std::size_t first = 0;
    for (std::size_t b = 0; b < full.bands; ++b) {
      while (first + 4 < kept.size() && kept[first + 2] <= b) ++first;
      const auto share = cubic_weights(kept, first, static_cast<double>(b));
      for (std::size_t i = 0; i < 4; ++i)
        for (std::size_t axis = 0; axis < 3; ++axis)
          w[3 * (first + i) + axis] += static_cast<float>(share[i]) * light.w[3 * b + axis];
    }
    light.w = w;
  };
  Compiled<float> out = full;
  out.bands = kept.size();
  pick(out.K0);
  pick(out.S0);
  if (!out.place.empty()) pick(out.place);
  if (!out.surface.empty()) pick(out.surface);
  for (auto& k : out.k) pick(k);
  for (auto& s : out.s) pick(s);
  for (CompiledLight<float>& light : out.lights) fold(light);
  if (out.with_T) fold(out.transmitted);
  return out;
}

template Compiled<double> with_aims(Compiled<double>, const WashProblem&);
template Compiled<float> compile(const WashProblem&, const std::vector<double>&);
template Compiled<double> compile(const WashProblem&, const std::vector<double>&);

}  // namespace detail
}  // namespace mendtone
