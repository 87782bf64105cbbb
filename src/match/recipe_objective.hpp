#pragma once
#include "match/recipe_lanes.hpp"

// The objective F of every lane, its slope and its Gauss-Newton curvature; the formulas stand at
// the top of recipe_kernel.hpp.

namespace mendtone::detail {

/// Keeps a division by 0 away, and is lost beside any other number.
template <class Real>
constexpr Real nothing = Real(1e-20);
/// Keeps the worst light's root off 0, where it has no slope: 3e-4 DeltaE00, far below any reading.
template <class Real>
constexpr Real least_square = Real(1e-7);
/// Keeps the logarithm of a load's share finite at no load; the load itself moves by 1e-12 of it.
template <class Real>
constexpr Real least_share = Real(1e-12);

/// How a band is computed: by Kubelka's closed form, thinned where it may be deep, its K and S
/// screened and quenched; or on its surface.
enum class ByBand { plain, deep, screened, surface };

/// R and T of every band at the strengths u, and their slopes along them.
template <class Real, int W, int N, bool with_T, ByBand by>
MENDTONE_INLINE void spectra(Lanes<Real, W, N>& lanes, const Compiled<Real>& problem,
                             const Real (&u)[N][W]) {
  constexpr bool screened = by == ByBand::screened, on_surface = by == ByBand::surface;
  // Read once: a load inside would split the lanes' loop.
  [[maybe_unused]] const Real screening = problem.screening, quenching = problem.quenching;
  alignas(64) Real left[W];  ///< of the ply's own scattering
  MENDTONE_LANE_LOOP
  for (int l = 0; l < W; ++l) {
    Real sum = 0;
    each<N>([&](auto i) MENDTONE_HERE { sum += lanes.filling[i][l] * u[i][l]; });
    left[l] = exp_of(-sum);
  }
  for (std::size_t b = 0; b < problem.bands; ++b) {
    const Real* __restrict k = lanes.k.data() + b * N * W;
    const Real* __restrict s = lanes.s.data() + b * N * W;
    Real* __restrict R = lanes.R.data() + b * (N + 1) * W;
    Real* __restrict T = lanes.T.data() + b * (N + 1) * W;
    const Real K0 = problem.K0[b], S0 = problem.S0[b];
    [[maybe_unused]] BandPlace<Real> place{};
    [[maybe_unused]] BandSurface<Real> surface;
    if constexpr (on_surface)
      surface = problem.surface[b];
    else
      place = problem.place[b];
    [[maybe_unused]] const auto [below, p, q, r, t, v] = place;
    MENDTONE_LANE_LOOP
    for (int l = 0; l < W; ++l) {
      Real K = screened ? Real(0) : K0, S = S0 * left[l];
      const Real own = S;
      each<N>([&](auto i) MENDTONE_HERE {
        K = fused(k[i * W + l], u[i][l], K);
        S = fused(s[i * W + l], u[i][l], S);
      });
      [[maybe_unused]] Real K_A = 1, S_K = 0, S_B = 1;
      if constexpr (screened) {
        const Real part = fused(screening, K, Real(1));
        const Real screen = roots_of(cube_root(part).value).inverse, added = K * screen;
        K_A = screen * fused(-screening * K, Real(1.0 / 6) * inverse_of(part), Real(1));
        const Real share = S * inverse_of(fused(quenching, added, S + nothing<Real>));
        S_K = -quenching * share * share;
        S_B = fused(share - 1, 1 - share, Real(1));
        S *= share;
        K = K0 + added;
      }
      BandOut<Real> out;
      if constexpr (on_surface)
        out = band<Real, with_T>(K, S, surface);
      else
        out = band<Real, with_T, by != ByBand::plain>(K, S, {below, p, q, r, t, v});
      if constexpr (screened) {
        out.R_K = K_A * fused(out.R_S, S_K, out.R_K);
        out.T_K = K_A * fused(out.T_S, S_K, out.T_K);
        out.R_S *= S_B;
        out.T_S *= S_B;
      }
      R[l] = out.R;
      each<N>([&](auto i) MENDTONE_HERE {
        const Real by_S = fused(-lanes.filling[i][l], own, s[i * W + l]);
        R[(i + 1) * W + l] = fused(out.R_K, k[i * W + l], out.R_S * by_S);
      });
      if constexpr (with_T) {
        T[l] = out.T;
        each<N>([&](auto i) MENDTONE_HERE {
          const Real by_S = fused(-lanes.filling[i][l], own, s[i * W + l]);
          T[(i + 1) * W + l] = fused(out.T_K, k[i * W + l], out.T_S * by_S);
        });
      }
    }
  }
}

/// Tristimulus values, and their slopes, of `M` lights at a time, as the views from `at` on.
template <int M, class Real, int W, int N>
MENDTONE_INLINE void tristimulus(Lanes<Real, W, N>& lanes, const Real* __restrict spectrum,
                                 const CompiledLight<Real>* lights, int at, std::size_t bands) {
  const Real* w[M];
  for (int m = 0; m < M; ++m) w[m] = lights[m].w.data();
  for (int j = 0; j <= N; ++j) {
    const Real* __restrict row = spectrum + j * W;
    // The bands inside, so that the sums stay in registers.
    MENDTONE_LANE_LOOP
    for (int l = 0; l < W; ++l) {
      Real x[M], y[M], z[M];
      each<M>([&](auto m) MENDTONE_HERE { x[m] = y[m] = z[m] = 0; });
      std::size_t b = 0;
      do {
        const Real v = row[b * (N + 1) * W + l];
        each<M>([&](auto m) MENDTONE_HERE {
          x[m] = fused(w[m][3 * b], v, x[m]);
          y[m] = fused(w[m][3 * b + 1], v, y[m]);
          z[m] = fused(w[m][3 * b + 2], v, z[m]);
        });
      } while (++b < bands);
      each<M>([&](auto m) MENDTONE_HERE {
        lanes.xyz[at + m][0][j][l] = x[m];
        lanes.xyz[at + m][1][j][l] = y[m];
        lanes.xyz[at + m][2][j][l] = z[m];
      });
    }
  }
}

/// Squared difference under one light, its slope and curvature along the strengths, as view `at`.
template <class Real, int W, int N>
MENDTONE_INLINE void difference(Lanes<Real, W, N>& lanes, const Standard<Real>& aim, int at) {
  MENDTONE_LANE_LOOP
  for (int l = 0; l < W; ++l) {
    const Sloped<Real> fx = lab_root(lanes.xyz[at][0][0][l]), fy = lab_root(lanes.xyz[at][1][0][l]),
                       fz = lab_root(lanes.xyz[at][2][0][l]);
    const SquaredDifference<Real> d = squared_de00<Real>(
        aim, 116 * fy.value - 16, 500 * (fx.value - fy.value), 200 * (fy.value - fz.value));
    each<N>([&](auto i) MENDTONE_HERE {
      const Real x = fx.slope * lanes.xyz[at][0][i + 1][l],
                 y = fy.slope * lanes.xyz[at][1][i + 1][l],
                 z = fz.slope * lanes.xyz[at][2][i + 1][l];
      const Real dL = 116 * y, da = 500 * (x - y), db = 200 * (y - z);
      lanes.square_slope[at][i][l] = d.slope[0] * dL + d.slope[1] * da + d.slope[2] * db;
      lanes.lab_slope[at][0][i][l] = dL;
      lanes.lab_slope[at][1][i][l] = da;
      lanes.lab_slope[at][2][i][l] = db;
    });
    lanes.square[at][l] = d.value;
    lanes.lab_curvature[at][0][l] = d.half_curvature_L;
    each<3>([&](auto j) MENDTONE_HERE { lanes.lab_curvature[at][j + 1][l] = d.half_curvature[j]; });
  }
}

/// The worst light's part w f of the objective; the largest q is divided out before the fourth
/// powers, which would not fit a float. Adds it to F, and leaves what each light's slope and
/// curvature weigh in it.
template <class Real, int W, int N>
MENDTONE_INLINE void weigh_lights(Lanes<Real, W, N>& lanes, int lights, Real weight, Real (&F)[W]) {
  alignas(64) Real largest[W], per[W], sum[W];
  MENDTONE_LANE_LOOP
  for (int l = 0; l < W; ++l) largest[l] = lanes.square[0][l] + least_square<Real>;
  for (int m = 1; m < lights; ++m) MENDTONE_LANE_LOOP
  for (int l = 0; l < W; ++l) {
    const Real a = largest[l], b = lanes.square[m][l];
    largest[l] = b > a ? b : a;
  }
  MENDTONE_LANE_LOOP
  for (int l = 0; l < W; ++l) {
    per[l] = inverse_of(largest[l]);
    sum[l] = 0;
  }
  for (int m = 0; m < lights; ++m) MENDTONE_LANE_LOOP
  for (int l = 0; l < W; ++l) {
    const Real x = lanes.square[m][l] * per[l];
    sum[l] += x * x * x * x;
  }
  MENDTONE_LANE_LOOP
  for (int l = 0; l < W; ++l) {
    const Real f = largest[l] * root(root(sum[l]));
    F[l] += weight * f;
    per[l] = inverse_of(f);
    lanes.root_bend[l] = 3 * per[l] / (weight + nothing<Real>);
    each<N>([&](auto i) MENDTONE_HERE { lanes.worst_slope[i][l] = 0; });
  }
  for (int m = 0; m < lights; ++m) MENDTONE_LANE_LOOP
  for (int l = 0; l < W; ++l) {
    const Real x = lanes.square[m][l] * per[l], x2 = x * x;
    lanes.worst_weight[m][l] = weight * x2 * x;
    lanes.worst_bend[m][l] = 3 * weight * x2 * per[l];
  }
}

/// Adds one view to the objective, `weight` times; `of_lights`: and its share of the worst light.
template <bool of_lights, class Real, int W, int N>
MENDTONE_INLINE void add_view(Lanes<Real, W, N>& lanes, typename Lanes<Real, W, N>::Point& point,
                              int m, Real weight) {
  MENDTONE_LANE_LOOP
  for (int l = 0; l < W; ++l) {
    const Real share = of_lights ? lanes.worst_weight[m][l] : Real(0), all = weight + share;
    const Real LL = 2 * all * lanes.lab_curvature[m][0][l],
               aa = 2 * all * lanes.lab_curvature[m][1][l],
               ab = 2 * all * lanes.lab_curvature[m][2][l],
               bb = 2 * all * lanes.lab_curvature[m][3][l];
    const Real bend = of_lights ? lanes.worst_bend[m][l] : Real(0);
    point.F[l] += weight * lanes.square[m][l];
    each<N>([&](auto i) MENDTONE_HERE {
      const Real gi = lanes.square_slope[m][i][l], bi = bend * gi;
      if constexpr (of_lights) lanes.worst_slope[i][l] = fused(share, gi, lanes.worst_slope[i][l]);
      point.slope[i][l] = fused(all, gi, point.slope[i][l]);
      const Real Li = LL * lanes.lab_slope[m][0][i][l];
      const Real ai = fused(aa, lanes.lab_slope[m][1][i][l], ab * lanes.lab_slope[m][2][i][l]);
      const Real ii = fused(ab, lanes.lab_slope[m][1][i][l], bb * lanes.lab_slope[m][2][i][l]);
      each<i + 1>([&](auto j) MENDTONE_HERE {
        Real H = fused(Li, lanes.lab_slope[m][0][j][l], point.curvature[pair_of(i, j)][l]);
        H = fused(ai, lanes.lab_slope[m][1][j][l], H);
        H = fused(ii, lanes.lab_slope[m][2][j][l], H);
        point.curvature[pair_of(i, j)][l] = fused(bi, lanes.square_slope[m][j][l], H);
      });
    });
  }
}

/// Takes off what the worst light's part bends less for being a root of a sum.
template <class Real, int W, int N>
MENDTONE_INLINE void straighten_worst(Lanes<Real, W, N>& lanes,
                                      typename Lanes<Real, W, N>::Point& point) {
  MENDTONE_LANE_LOOP
  for (int l = 0; l < W; ++l)
    each<N>([&](auto i) MENDTONE_HERE {
      const Real mi = -lanes.root_bend[l] * lanes.worst_slope[i][l];
      each<i + 1>([&](auto j) MENDTONE_HERE {
        point.curvature[pair_of(i, j)][l] =
            fused(mi, lanes.worst_slope[j][l], point.curvature[pair_of(i, j)][l]);
      });
    });
}

/// Starts the objective with the weighted loads: t^e / (1 + (1 - t) r) and its slope.
template <class Real, int W, int N>
MENDTONE_INLINE void put_loads(Lanes<Real, W, N>& lanes, typename Lanes<Real, W, N>::Point& point,
                               Real weight) {
  MENDTONE_LANE_LOOP
  for (int l = 0; l < W; ++l) {
    Real sum = 0;
    each<N>([&](auto i) MENDTONE_HERE {
      const Real per = lanes.per_u_max[i][l], e = lanes.exponent[i][l], r = lanes.saturation[i][l];
      const Real t = fused(point.u[i][l], per, least_share<Real>);
      const Real bent = fused(1 - t, r, Real(1));
      const Real one = inverse_of(bent * t);  // t and bent share a division
      const Real load = weight * exp_of(e * log_of(t)) * (one * t);
      sum += load;
      point.slope[i][l] = load * per * one * fused(e, bent, r * t);
    });
    point.F[l] = sum;
    each<Lanes<Real, W, N>::pairs>([&](auto p) MENDTONE_HERE { point.curvature[p][l] = 0; });
  }
}

/// The spectra in the code that was compiled for what the problem asks.
template <class Real, int W, int N>
MENDTONE_INLINE void all_spectra(Lanes<Real, W, N>& lanes, const Compiled<Real>& problem,
                                 const Real (&u)[N][W]) {
  const bool screened = problem.screening > 0 || problem.quenching > 0;
  const auto run = [&](auto by) MENDTONE_HERE {
    if (problem.with_T)
      spectra<Real, W, N, true, by()>(lanes, problem, u);
    else
      spectra<Real, W, N, false, by()>(lanes, problem, u);
  };
  if (!problem.surface.empty()) return run(std::integral_constant<ByBand, ByBand::surface>{});
  if (screened) return run(std::integral_constant<ByBand, ByBand::screened>{});
  if (problem.deep) return run(std::integral_constant<ByBand, ByBand::deep>{});
  run(std::integral_constant<ByBand, ByBand::plain>{});
}

/// The objective at `point.u`: its square F, the slope, and the Gauss-Newton curvature.
template <class Real, int W, int N>
MENDTONE_INLINE void evaluate(Lanes<Real, W, N>& lanes, const Compiled<Real>& problem,
                              typename Lanes<Real, W, N>::Point& point) {
  all_spectra<Real, W, N>(lanes, problem, point.u);
  const int lights = static_cast<int>(problem.lights.size());
  const Real* R = lanes.R.data();
  int m = 0;
  for (; m + 3 <= lights; m += 3) tristimulus<3>(lanes, R, &problem.lights[m], m, problem.bands);
  for (; m < lights; ++m) tristimulus<1>(lanes, R, &problem.lights[m], m, problem.bands);
  for (m = 0; m < lights; ++m) difference<Real, W, N>(lanes, problem.lights[m].aim, m);
  put_loads<Real, W, N>(lanes, point, problem.w_load);
  weigh_lights<Real, W, N>(lanes, lights, problem.w_worst, point.F);
  for (m = 0; m < lights; ++m)
    add_view<true, Real, W, N>(lanes, point, m, m == 0 ? problem.w_viewing : Real(0));
  straighten_worst<Real, W, N>(lanes, point);
  if (problem.with_T) {
    tristimulus<1>(lanes, lanes.T.data(), &problem.transmitted, most_lights, problem.bands);
    difference<Real, W, N>(lanes, problem.transmitted.aim, most_lights);
    add_view<false, Real, W, N>(lanes, point, most_lights, problem.w_transmitted);
  }
}

}  // namespace mendtone::detail
