#pragma once
#include <cstddef>
#include <new>
#include <type_traits>
#include <utility>
#include <vector>

#include "match/recipe_terms.hpp"

// The lanes of a loop do not touch each other: said to each compiler in its own words.
#if defined(__clang__)
#define MENDTONE_LANE_LOOP _Pragma("clang loop vectorize(assume_safety)")
#else
#define MENDTONE_LANE_LOOP _Pragma("GCC ivdep")
#endif

namespace mendtone::detail {

constexpr int most_colorants = 6;  ///< in one recipe
constexpr int most_steps = 60;     ///< of one descent
constexpr int most_searched = 4;   ///< in the search over subsets
constexpr int most_lights = 8;
constexpr float unvisited = 1e29f;           ///< F of a lane that has not been evaluated yet
constexpr int most_views = most_lights + 1;  ///< the last: transmitted

/// One light of the problem, ready for the inner loop. Rows of `w` are bands, X Y Z side by side,
/// divided by the white.
template <class Real>
struct CompiledLight {
  std::vector<Real> w;
  Standard<Real> aim;
};

/// How a load follows from the calibrated strength u = h(load): load/max = t^e / (1 + (1 - t) r)
/// with t = u/max u. Both load laws are cases of it.
template <class Real>
struct Strength {
  Real u_max = 1, e = 1, r = 0, u_min = 0;
};

/// A WashProblem as planar numbers, shared read-only.
template <class Real>
struct Compiled {
  std::size_t bands = 0;
  bool with_T = false;
  bool deep = true;  ///< some recipe may reach the depth at which a layer is thinned
  std::vector<Real> K0, S0;
  std::vector<BandPlace<Real>> place;
  std::vector<std::vector<Real>> k, s;  ///< [colorant][band], all plies
  std::vector<Real> filling;            ///< how fast the ply's own S goes with the strength
  Real screening = 0, quenching = 0;    ///< of the whole fill's added K
  std::vector<Strength<Real>> strength;
  std::vector<CompiledLight<Real>> lights;
  CompiledLight<Real> transmitted;
  Real w_viewing = 1, w_worst = 0, w_transmitted = 0, w_load = 0;
};

/// Vectors that begin where a cache line does: a load of all lanes then touches one line, not two.
template <class T>
struct OnLines {
  using value_type = T;
  static constexpr std::align_val_t line{64};
  OnLines() = default;
  template <class U>
  OnLines(const OnLines<U>&) {}
  T* allocate(std::size_t n) { return static_cast<T*>(::operator new(n * sizeof(T), line)); }
  void deallocate(T* at, std::size_t) { ::operator delete(at, line); }
  bool operator==(const OnLines&) const { return true; }
};

/// Room for W subsets of N colorants that are solved side by side. Nothing in it is allocated
/// after it was made.
template <class Real, int W, int N>
struct Lanes {
  static constexpr int pairs = N * (N + 1) / 2;
  explicit Lanes(std::size_t bands)
      : kk(bands * N * W), ss(bands * N * W), R(bands * (N + 1) * W), T(bands * (N + 1) * W) {}

  using Row = std::vector<Real, OnLines<Real>>;
  Row kk, ss;  ///< [band][colorant][lane]
  Row R, T;    ///< [band][value, slope a colorant][lane]
  alignas(64) Real u_max[N][W], u_min[N][W], e[N][W], r[N][W], filling[N][W];
  alignas(64) Real per_u_max[N][W];

  /// Where the lanes stand: strengths, and what they give.
  struct Point {
    alignas(64) Real u[N][W];
    alignas(64) Real F[W];  ///< the objective's square, the number of colorants left out
    alignas(64) Real g[N][W];
    alignas(64) Real H[pairs][W];  ///< Gauss-Newton
  };
  Point now, trial;
  alignas(64) Real mu[W];
  alignas(64) Real open[W];   ///< 1: still moving
  alignas(64) Real stuck[W];  ///< failed steps in a row
  alignas(64) Real steps[W];
  alignas(64) Real promised[W];
  alignas(64) Real bend[pairs][W];  ///< curvature that Gauss-Newton leaves out, learnt on the way
  alignas(64) Real xyz[most_views][3][N + 1][W];
  Real part;  ///< how small a gain is nothing, as a part of the objective
  // One view (light, or transmitted) after the other: squared difference, its slope, that of L*,
  // a*, b*, and the half curvature along these (LL, aa, ab, bb).
  alignas(64) Real q[most_views][W];
  alignas(64) Real gv[most_views][N][W];
  alignas(64) Real lab[most_views][3][N][W];
  alignas(64) Real bow[most_views][4][W];
  // Slope and curvature of the worst light's part of the objective along each q, and 3 / that part.
  alignas(64) Real share[most_lights][W], bend_q[most_lights][W], bend_all[W];
  alignas(64) Real mean[N][W];  ///< its slope

  // A step on its way: curvature with damping, slope where it has come to, how far that is, the
  // strengths held at a bound (1), how far down and up they may go, what the model promises.
  struct Way {
    alignas(64) Real A[pairs][W];
    alignas(64) Real slope[N][W], d[N][W], held[N][W], low[N][W], high[N][W];
    alignas(64) Real gained[W];
    alignas(64) int going[W];  ///< 0: nothing left to go
  } way;
};

constexpr int pair_of(int i, int j) {
  return i >= j ? i * (i + 1) / 2 + j : j * (j + 1) / 2 + i;
}

// Loops over the few colorants are opened up before the compiler looks for lanes: a loop inside
// the lane loop would stop it.
#define MENDTONE_HERE __attribute__((always_inline))

template <class F, int... I>
MENDTONE_INLINE void each_of(std::integer_sequence<int, I...>, const F& f) {
  (f(std::integral_constant<int, I>{}), ...);
}
/// f(0) … f(N - 1), the index a constant.
template <int N, class F>
MENDTONE_INLINE void each(const F& f) {
  each_of(std::make_integer_sequence<int, N>{}, f);
}

/// Writes colorant `c` as the i-th of the subset in `lane`.
template <class Real, int W, int N>
void place_colorant(Lanes<Real, W, N>& lanes, const Compiled<Real>& problem, int i, int lane,
                    int c) {
  const std::size_t at = static_cast<std::size_t>(i) * W + lane;
  const Real* k = problem.k[c].data();
  const Real* s = problem.s[c].data();
  for (std::size_t b = 0; b < problem.bands; ++b) {
    lanes.kk[b * N * W + at] = k[b];
    lanes.ss[b * N * W + at] = s[b];
  }
  const Strength<Real>& law = problem.strength[c];
  lanes.filling[i][lane] = problem.filling[c];
  lanes.u_max[i][lane] = law.u_max;
  lanes.per_u_max[i][lane] = 1 / law.u_max;
  lanes.u_min[i][lane] = law.u_min;
  lanes.e[i][lane] = law.e;
  lanes.r[i][lane] = law.r;
}

template <class Real, int W, int N, bool with_T, bool deep, bool screened = false>
MENDTONE_INLINE void spectra(Lanes<Real, W, N>& lanes, const Compiled<Real>& problem,
                             const Real (&u)[N][W]) {
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
    const Real* __restrict kk = lanes.kk.data() + b * N * W;
    const Real* __restrict ss = lanes.ss.data() + b * N * W;
    Real* __restrict R = lanes.R.data() + b * (N + 1) * W;
    Real* __restrict T = lanes.T.data() + b * (N + 1) * W;
    const Real K0 = problem.K0[b], S0 = problem.S0[b];
    const auto [below, p, q, r, t, v] = problem.place[b];
    MENDTONE_LANE_LOOP
    for (int l = 0; l < W; ++l) {
      Real K = screened ? Real(0) : K0, S = S0 * left[l];
      const Real own = S;
      each<N>([&](auto i) MENDTONE_HERE {
        K = fused(kk[i * W + l], u[i][l], K);
        S = fused(ss[i * W + l], u[i][l], S);
      });
      [[maybe_unused]] Real K_A = 1, S_K = 0, S_B = 1;
      if constexpr (screened) {
        const Real part = fused(screening, K, Real(1));
        const Real screen = roots_of(cube_root(part).value).inverse, added = K * screen;
        K_A = screen * fused(-screening * K, Real(1.0 / 6) * inverse_of(part), Real(1));
        const Real share = S * inverse_of(fused(quenching, added, S + Real(1e-20)));
        S_K = -quenching * share * share;
        S_B = fused(share - 1, 1 - share, Real(1));
        S *= share;
        K = K0 + added;
      }
      BandOut<Real> out = band<Real, with_T, deep>(K, S, {below, p, q, r, t, v});
      if constexpr (screened) {
        out.R_K = K_A * fused(out.R_S, S_K, out.R_K);
        out.T_K = K_A * fused(out.T_S, S_K, out.T_K);
        out.R_S *= S_B;
        out.T_S *= S_B;
      }
      R[l] = out.R;
      each<N>([&](auto i) MENDTONE_HERE {
        const Real by_S = fused(-lanes.filling[i][l], own, ss[i * W + l]);
        R[(i + 1) * W + l] = fused(out.R_K, kk[i * W + l], out.R_S * by_S);
      });
      if constexpr (with_T) {
        T[l] = out.T;
        each<N>([&](auto i) MENDTONE_HERE {
          const Real by_S = fused(-lanes.filling[i][l], own, ss[i * W + l]);
          T[(i + 1) * W + l] = fused(out.T_K, kk[i * W + l], out.T_S * by_S);
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
    const LabRoot<Real> fx = lab_root(lanes.xyz[at][0][0][l]),
                        fy = lab_root(lanes.xyz[at][1][0][l]),
                        fz = lab_root(lanes.xyz[at][2][0][l]);
    const SquaredDifference<Real> d = squared_de00<Real>(
        aim, 116 * fy.value - 16, 500 * (fx.value - fy.value), 200 * (fy.value - fz.value));
    each<N>([&](auto i) MENDTONE_HERE {
      const Real x = fx.slope * lanes.xyz[at][0][i + 1][l],
                 y = fy.slope * lanes.xyz[at][1][i + 1][l],
                 z = fz.slope * lanes.xyz[at][2][i + 1][l];
      const Real dL = 116 * y, da = 500 * (x - y), db = 200 * (y - z);
      lanes.gv[at][i][l] = d.slope[0] * dL + d.slope[1] * da + d.slope[2] * db;
      lanes.lab[at][0][i][l] = dL;
      lanes.lab[at][1][i][l] = da;
      lanes.lab[at][2][i][l] = db;
    });
    lanes.q[at][l] = d.value;
    lanes.bow[at][0][l] = d.half_curvature_L;
    each<3>([&](auto j) MENDTONE_HERE { lanes.bow[at][j + 1][l] = d.half_curvature[j]; });
  }
}

/// The worst light: f = (sum q^4)^(1/4) over the lights' squared differences q, which is nearly the
/// largest of them, and smooth where two lights change places. Starts the objective with `weight`
/// f, and leaves what each light's slope and curvature weigh in it.
template <class Real, int W, int N>
MENDTONE_INLINE void weigh_lights(Lanes<Real, W, N>& lanes, int lights, Real weight, Real (&F)[W]) {
  alignas(64) Real largest[W], per[W], sum[W];
  MENDTONE_LANE_LOOP
  for (int l = 0; l < W; ++l) largest[l] = lanes.q[0][l] + Real(1e-7);
  for (int m = 1; m < lights; ++m) MENDTONE_LANE_LOOP
  for (int l = 0; l < W; ++l) {
    const Real a = largest[l], b = lanes.q[m][l];
    largest[l] = b > a ? b : a;
  }
  MENDTONE_LANE_LOOP
  for (int l = 0; l < W; ++l) {
    per[l] = inverse_of(largest[l]);
    sum[l] = 0;
  }
  for (int m = 0; m < lights; ++m) MENDTONE_LANE_LOOP
  for (int l = 0; l < W; ++l) {
    const Real x = lanes.q[m][l] * per[l];
    sum[l] += x * x * x * x;
  }
  MENDTONE_LANE_LOOP
  for (int l = 0; l < W; ++l) {
    const Real f = largest[l] * root(root(sum[l]));
    F[l] += weight * f;
    per[l] = inverse_of(f);
    lanes.bend_all[l] = 3 * per[l] / (weight + Real(1e-20));
    each<N>([&](auto i) MENDTONE_HERE { lanes.mean[i][l] = 0; });
  }
  for (int m = 0; m < lights; ++m) MENDTONE_LANE_LOOP
  for (int l = 0; l < W; ++l) {
    const Real x = lanes.q[m][l] * per[l], x2 = x * x;
    lanes.share[m][l] = weight * x2 * x;
    lanes.bend_q[m][l] = 3 * weight * x2 * per[l];
  }
}

/// Adds one view to the objective, `weight` times; `of_lights`: and its share of the worst light.
template <bool of_lights, class Real, int W, int N>
MENDTONE_INLINE void add_view(Lanes<Real, W, N>& lanes, typename Lanes<Real, W, N>::Point& point,
                              int m, Real weight) {
  MENDTONE_LANE_LOOP
  for (int l = 0; l < W; ++l) {
    const Real share = of_lights ? lanes.share[m][l] : Real(0), all = weight + share;
    const Real LL = 2 * all * lanes.bow[m][0][l], aa = 2 * all * lanes.bow[m][1][l],
               ab = 2 * all * lanes.bow[m][2][l], bb = 2 * all * lanes.bow[m][3][l];
    const Real bend = of_lights ? lanes.bend_q[m][l] : Real(0);
    point.F[l] += weight * lanes.q[m][l];
    each<N>([&](auto i) MENDTONE_HERE {
      const Real gi = lanes.gv[m][i][l], bi = bend * gi;
      if constexpr (of_lights) lanes.mean[i][l] = fused(share, gi, lanes.mean[i][l]);
      point.g[i][l] = fused(all, gi, point.g[i][l]);
      const Real Li = LL * lanes.lab[m][0][i][l];
      const Real ai = fused(aa, lanes.lab[m][1][i][l], ab * lanes.lab[m][2][i][l]);
      const Real ii = fused(ab, lanes.lab[m][1][i][l], bb * lanes.lab[m][2][i][l]);
      each<i + 1>([&](auto j) MENDTONE_HERE {
        Real H = fused(Li, lanes.lab[m][0][j][l], point.H[pair_of(i, j)][l]);
        H = fused(ai, lanes.lab[m][1][j][l], H);
        H = fused(ii, lanes.lab[m][2][j][l], H);
        point.H[pair_of(i, j)][l] = fused(bi, lanes.gv[m][j][l], H);
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
      const Real mi = -lanes.bend_all[l] * lanes.mean[i][l];
      each<i + 1>([&](auto j) MENDTONE_HERE {
        point.H[pair_of(i, j)][l] = fused(mi, lanes.mean[j][l], point.H[pair_of(i, j)][l]);
      });
    });
}

/// Starts the objective with the weighted loads.
template <class Real, int W, int N>
MENDTONE_INLINE void put_loads(Lanes<Real, W, N>& lanes, typename Lanes<Real, W, N>::Point& point,
                               Real weight) {
  MENDTONE_LANE_LOOP
  for (int l = 0; l < W; ++l) {
    Real sum = 0;
    each<N>([&](auto i) MENDTONE_HERE {
      const Real per = lanes.per_u_max[i][l], e = lanes.e[i][l], r = lanes.r[i][l];
      const Real t = fused(point.u[i][l], per, Real(1e-12));
      const Real bent = fused(1 - t, r, Real(1));
      const Real one = inverse_of(bent * t);  // t and bent share a division
      const Real load = weight * exp_of(e * log_of(t)) * (one * t);
      sum += load;
      point.g[i][l] = load * per * one * fused(e, bent, r * t);
    });
    point.F[l] = sum;
    each<Lanes<Real, W, N>::pairs>([&](auto p) MENDTONE_HERE { point.H[p][l] = 0; });
  }
}

/// The objective at `point.u`: its square F, the slope, and the Gauss-Newton curvature.
template <class Real, int W, int N>
MENDTONE_INLINE void evaluate(Lanes<Real, W, N>& lanes, const Compiled<Real>& problem,
                              typename Lanes<Real, W, N>::Point& point) {
  if (problem.screening > 0 || problem.quenching > 0) {
    if (problem.with_T)
      spectra<Real, W, N, true, true, true>(lanes, problem, point.u);
    else
      spectra<Real, W, N, false, true, true>(lanes, problem, point.u);
  } else if (problem.deep) {
    if (problem.with_T)
      spectra<Real, W, N, true, true>(lanes, problem, point.u);
    else
      spectra<Real, W, N, false, true>(lanes, problem, point.u);
  } else {
    if (problem.with_T)
      spectra<Real, W, N, true, false>(lanes, problem, point.u);
    else
      spectra<Real, W, N, false, false>(lanes, problem, point.u);
  }
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

/// Solves A x = b for a symmetric positive A of N rows, b in place, with x = 0 wherever `held` is
/// 1; a pivot that rounding has eaten is held up.
template <int N, class Real>
MENDTONE_INLINE void solve_symmetric(const Real (&A)[N * (N + 1) / 2], const Real (&held)[N],
                                     Real (&b)[N]) {
  // A = L D L': `own` is L D, and a held row's inverse of D is 0, which leaves it out of all
  // others.
  Real own[N * (N + 1) / 2], L[N * (N + 1) / 2], inv[N];
  each<N>([&](auto i) MENDTONE_HERE {
    each<i + 1>([&](auto j) MENDTONE_HERE {
      Real v = A[pair_of(i, j)];
      each<j>([&](auto m) MENDTONE_HERE { v = fused(-L[pair_of(i, m)], own[pair_of(j, m)], v); });
      own[pair_of(i, j)] = v;
      if constexpr (i == j) {
        const Real least = fused(Real(1e-6), A[pair_of(i, i)], Real(1e-30));
        inv[i] = (1 - held[i]) * inverse_of(v > least ? v : least);
      } else {
        L[pair_of(i, j)] = v * inv[j];
      }
    });
  });
  each<N>([&](auto i) MENDTONE_HERE {
    each<i>([&](auto j) MENDTONE_HERE { b[i] = fused(-L[pair_of(i, j)], b[j], b[i]); });
  });
  each<N>([&](auto up) MENDTONE_HERE {
    constexpr int i = N - 1 - up;
    b[i] *= inv[i];
    each<up>([&](auto m)
                 MENDTONE_HERE { b[i] = fused(-L[pair_of(i + 1 + m, i)], b[i + 1 + m], b[i]); });
  });
}

/// Sets out from `now`.
template <class Real, int W, int N>
MENDTONE_INLINE void set_out_way(Lanes<Real, W, N>& lanes) {
  const auto& now = lanes.now;
  auto& way = lanes.way;
  MENDTONE_LANE_LOOP
  for (int l = 0; l < W; ++l) {
    each<Lanes<Real, W, N>::pairs>(
        [&](auto p) MENDTONE_HERE { way.A[p][l] = now.H[p][l] + lanes.bend[p][l]; });
    each<N>([&](auto i) MENDTONE_HERE {
      const Real g = now.g[i][l], per = lanes.per_u_max[i][l];
      const Real low = lanes.u_min[i][l] - now.u[i][l], high = lanes.u_max[i][l] - now.u[i][l];
      const bool fixed = ((low >= 0) & (g > 0)) | ((high <= 0) & (g < 0));
      way.slope[i][l] = g;
      way.low[i][l] = low;
      way.high[i][l] = high;
      way.held[i][l] = fixed ? Real(1) : Real(0);
      way.d[i][l] = 0;
      const Real own = now.H[pair_of(i, i)][l], least = Real(0.1) * own;
      const Real bent = way.A[pair_of(i, i)][l];
      way.A[pair_of(i, i)][l] =
          (bent > least ? bent : least) + fused(lanes.mu[l], own, Real(1e-6) * per * per);
    });
    way.gained[l] = 0;
    way.going[l] = lanes.open[l] > 0 ? 1 : 0;
  }
}

/// One leg of a step: along the direction of the strengths that are not held, to where the model is
/// lowest or to the first bound, which then holds its strength. Returns whether any lane goes on.
template <class Real, int W, int N>
MENDTONE_INLINE bool leg(typename Lanes<Real, W, N>::Way& way) {
  MENDTONE_LANE_LOOP
  for (int l = 0; l < W; ++l) {
    Real A[Lanes<Real, W, N>::pairs], p[N], held[N], Ap[N], room[N];
    each<Lanes<Real, W, N>::pairs>([&](auto k) MENDTONE_HERE { A[k] = way.A[k][l]; });
    each<N>([&](auto i) MENDTONE_HERE {
      held[i] = way.held[i][l];
      p[i] = -way.slope[i][l];
    });
    solve_symmetric<N>(A, held, p);
    Real down = 0, bent = 0, least = Real(1e-30);
    each<N>([&](auto i) MENDTONE_HERE {
      down = fused(-way.slope[i][l], p[i], down);
      least = fused(Real(1e-3) * A[pair_of(i, i)] * p[i], p[i], least);
      Ap[i] = A[pair_of(i, 0)] * p[0];
      each<N - 1>([&](auto j)
                      MENDTONE_HERE { Ap[i] = fused(A[pair_of(i, j + 1)], p[j + 1], Ap[i]); });
      bent = fused(p[i], Ap[i], bent);
    });
    // Rounding in the solution only shortens or lengthens the leg; where what was learnt leaves
    // no curvature along it, the leg goes far, and damping follows if that was wrong.
    bent = bent > least ? bent : least;
    const bool moves = (way.going[l] > 0) & (down > 0);
    const Real best = moves ? down * inverse_of(bent) : Real(0);
    Real along = best;
    each<N>([&](auto i) MENDTONE_HERE {
      const Real d = way.d[i][l], size = p[i] < 0 ? -p[i] : p[i];
      const Real left = p[i] < 0 ? d - way.low[i][l] : way.high[i][l] - d;
      room[i] = fused(left, inverse_of(size + Real(1e-30)), held[i] * Real(1e30));
      along = room[i] < along ? room[i] : along;
    });
    along = along > 0 ? along : Real(0);
    way.gained[l] = fused(along, fused(Real(-0.5) * along, bent, down), way.gained[l]);
    const bool hit = moves & (along < best);
    Real left_over = 0;
    each<N>([&](auto i) MENDTONE_HERE {
      const Real to = fused(along, p[i], way.d[i][l]);
      const Real bound = p[i] < 0 ? way.low[i][l] : way.high[i][l];
      const bool stops = hit & (room[i] <= along);
      way.d[i][l] = stops ? bound : to;
      way.held[i][l] = stops ? Real(1) : held[i];
      const Real slope = fused(along, Ap[i], way.slope[i][l]), gain = slope * p[i];
      way.slope[i][l] = slope;
      left_over += gain < 0 ? -gain : gain;
    });
    // Where A is no valley, its solution is no more than a direction, and leaves slope behind.
    way.going[l] = hit | (moves & (left_over > Real(0.01) * down)) ? 1 : 0;
  }
  int any = 0;
  MENDTONE_LANE_LOOP
  for (int l = 0; l < W; ++l) any |= way.going[l];
  return any != 0;
}

/// The step of every lane from `now` to `trial`, and what the model promises of it: along the
/// damped Newton direction of the free strengths up to the first bound, that strength held there,
/// and on along the others' direction; every leg can only gain.
template <class Real, int W, int N>
MENDTONE_INLINE void step(Lanes<Real, W, N>& lanes) {
  set_out_way(lanes);
  for (int i = 0; i < N && leg<Real, W, N>(lanes.way); ++i) continue;
  const auto& now = lanes.now;
  const auto& way = lanes.way;
  const Real part = lanes.part;
  MENDTONE_LANE_LOOP
  for (int l = 0; l < W; ++l) {
    each<N>([&](auto i) MENDTONE_HERE {
      const Real least = lanes.u_min[i][l], most = lanes.u_max[i][l], near = Real(1e-6) * most;
      Real v = now.u[i][l] + way.d[i][l];
      v = v < least + near ? least : v;
      lanes.trial.u[i][l] = v > most - near ? most : v;
    });
    const Real promised = way.gained[l], open = lanes.open[l];
    lanes.promised[l] = promised;
    // Nothing left to gain: the lane rests. F is a square: 2e-4 * objective of it is 1e-4 DeltaE00.
    const Real enough = part * (root(now.F[l] + Real(1e-9)) + Real(0.02));
    // A heavily damped step promises little, and that is no sign of rest.
    const Real could = promised * fused(Real(20), lanes.mu[l], Real(1));
    lanes.open[l] = could < enough ? Real(0) : open;
  }
}

template <class Real, int W>
MENDTONE_INLINE void take_over(Real (&now)[W], const Real (&trial)[W], const Real (&take)[W]) {
  MENDTONE_LANE_LOOP
  for (int l = 0; l < W; ++l) {
    const Real a = now[l], b = trial[l];
    now[l] = take[l] > 0 ? b : a;
  }
}

/// What the slopes at both ends of the step say of the curvature (a structured symmetric rank-one
/// update, after Dennis, Gay and Welsch); Gauss-Newton alone creeps where a target is out of reach.
/// Ref: dennis1981
template <class Real, int W, int N>
MENDTONE_INLINE void learn(Lanes<Real, W, N>& lanes) {
  const auto &now = lanes.now, &trial = lanes.trial;
  MENDTONE_LANE_LOOP
  for (int l = 0; l < W; ++l) {
    const bool taken = trial.F[l] < now.F[l];
    Real s[N], r[N], stiff = 0, fit = 0, r2 = 0, s2 = 0, seen = 0;
    each<N>([&](auto i) MENDTONE_HERE { s[i] = trial.u[i][l] - now.u[i][l]; });
    each<N>([&](auto i) MENDTONE_HERE {
      Real Hs = 0, Bs = 0;
      each<N>([&](auto j) MENDTONE_HERE {
        const Real a = now.H[pair_of(i, j)][l], b = trial.H[pair_of(i, j)][l];
        Hs = fused(taken ? b : a, s[j], Hs);
        Bs = fused(lanes.bend[pair_of(i, j)][l], s[j], Bs);
      });
      const Real y = trial.g[i][l] - now.g[i][l];
      r[i] = y - Hs - Bs;
      stiff += s[i] * Hs;
      seen += s[i] * y;
      fit += s[i] * r[i];
      r2 += r[i] * r[i];
      s2 += s[i] * s[i];
    });
    const bool sound = (fit * fit > Real(1e-4) * r2 * s2) & (seen > Real(0.1) * stiff) &
                       (seen < 10 * stiff) & (now.F[l] < unvisited);
    const Real factor = (sound ? Real(1) : Real(0)) * inverse_of(sound ? fit : Real(1));
    each<N>([&](auto i) MENDTONE_HERE {
      const Real fi = factor * r[i];
      each<i + 1>([&](auto j) MENDTONE_HERE {
        lanes.bend[pair_of(i, j)][l] = fused(fi, r[j], lanes.bend[pair_of(i, j)][l]);
      });
    });
  }
}

template <class Real, int W, int N>
MENDTONE_INLINE void accept(Lanes<Real, W, N>& lanes) {
  auto &now = lanes.now, &trial = lanes.trial;
  alignas(64) Real take[W];
  MENDTONE_LANE_LOOP
  for (int l = 0; l < W; ++l) {
    const Real mu = lanes.mu[l], gain = now.F[l] - trial.F[l], open = lanes.open[l];
    const bool better = (gain > 0) & (open > 0);
    const Real taken = better ? Real(1) : Real(0), failed = 1 - taken;
    const Real kept = gain > Real(0.5) * lanes.promised[l] ? Real(0.1) : Real(1);
    const Real stuck = failed * (lanes.stuck[l] + 1), steps = lanes.steps[l] + 1;
    take[l] = taken;
    lanes.mu[l] = taken * kept * mu + failed * fused(mu, Real(8), Real(0.02));
    lanes.stuck[l] = stuck;
    lanes.steps[l] = steps;
    const Real patient = stuck > 6 ? Real(0) : open;
    lanes.open[l] = steps > most_steps ? Real(0) : patient;
  }
  take_over<Real, W>(now.F, trial.F, take);
  for (int i = 0; i < N; ++i) {
    take_over<Real, W>(now.u[i], trial.u[i], take);
    take_over<Real, W>(now.g[i], trial.g[i], take);
  }
  for (int p = 0; p < Lanes<Real, W, N>::pairs; ++p) take_over<Real, W>(now.H[p], trial.H[p], take);
}

/// Puts a lane at the start of a new descent.
template <class Real, int W, int N>
void start_lane(Lanes<Real, W, N>& lanes, int l, const Real (&u)[N]) {
  for (int i = 0; i < N; ++i) {
    lanes.now.u[i][l] = u[i];
    lanes.trial.u[i][l] = u[i];
    lanes.now.g[i][l] = 0;
  }
  for (int p = 0; p < Lanes<Real, W, N>::pairs; ++p) lanes.now.H[p][l] = lanes.bend[p][l] = 0;
  lanes.now.F[l] = Real(10) * Real(unvisited);
  lanes.mu[l] = 0;
  lanes.open[l] = 1;
  lanes.stuck[l] = 0;
  lanes.steps[l] = 0;
}

/// Minimises one descent after the other in each lane. `feed(lane)` is called when a lane rests: it
/// takes the answer from `now` and starts the lane anew, or leaves it closed; it returns false when
/// nothing is left anywhere. What a lane finds does not depend on its neighbours.
/// Returns the evaluations made.
template <class Real, int W, int N, class Feed>
MENDTONE_INLINE int minimise(Lanes<Real, W, N>& lanes, const Compiled<Real>& problem, Feed& feed) {
  int evaluations = 0;
  for (;;) {
    evaluate<Real, W, N>(lanes, problem, lanes.trial);
    ++evaluations;
    learn<Real, W, N>(lanes);
    accept<Real, W, N>(lanes);
    step<Real, W, N>(lanes);
    for (int l = 0; l < W; ++l)
      if (lanes.open[l] == 0 && !feed(l)) return evaluations;
  }
}

}  // namespace mendtone::detail
