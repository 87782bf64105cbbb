#pragma once
#include <cstddef>
#include <new>
#include <type_traits>
#include <utility>
#include <vector>

#include "match/recipe_difference.hpp"
#include "match/recipe_surface.hpp"

// The problem as planar numbers, and the room in which W sets of colorants are solved side by side.
// What the letters mean stands at the top of recipe_kernel.hpp.

// The lanes of a loop do not touch each other: said to each compiler in its own words.
#if defined(__clang__)
#define MENDTONE_LANE_LOOP _Pragma("clang loop vectorize(assume_safety)")
#else
#define MENDTONE_LANE_LOOP _Pragma("GCC ivdep")
#endif

// Loops over the few colorants are opened up before the compiler looks for lanes: a loop inside
// the lane loop would stop it.
#define MENDTONE_HERE __attribute__((always_inline))

namespace mendtone::detail {

constexpr int most_colorants = 6;  ///< in one recipe
constexpr int most_searched = 4;   ///< in the search over subsets
constexpr int most_lights = 8;
constexpr int most_views = most_lights + 1;  ///< the last: transmitted
constexpr float unvisited = 1e29f;           ///< F of a lane that has not been evaluated yet

/// One light of the problem, ready for the inner loop. Rows of `w` are bands, X Y Z side by side,
/// divided by the white.
template <class Real>
struct CompiledLight {
  std::vector<Real> w;
  Standard<Real> aim;
};

/// How a load follows from the calibrated strength u: load / max = t^e / (1 + (1 - t) r) with
/// t = u / u_max, the exponent e and the saturation r. Both load laws are cases of it.
template <class Real>
struct Strength {
  Real u_max = 1, exponent = 1, saturation = 0, u_min = 0;
};

/// A WashProblem as planar numbers, shared read-only.
template <class Real>
struct Compiled {
  std::size_t bands = 0;
  bool with_T = false;
  bool deep = true;  ///< some recipe may reach the depth at which a layer is thinned
  std::vector<Real> K0, S0;
  std::vector<BandPlace<Real>> place;      ///< two fluxes
  std::vector<BandSurface<Real>> surface;  ///< many fluxes; empty: two
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

/// Where in the lower triangle of a symmetric matrix the pair stands.
constexpr int pair_of(int i, int j) {
  return i >= j ? i * (i + 1) / 2 + j : j * (j + 1) / 2 + i;
}

/// Room for W subsets of N colorants that are solved side by side. Nothing in it is allocated
/// after it was made.
template <class Real, int W, int N>
struct Lanes {
  static constexpr int pairs = N * (N + 1) / 2;
  explicit Lanes(std::size_t bands)
      : k(bands * N * W), s(bands * N * W), R(bands * (N + 1) * W), T(bands * (N + 1) * W) {}

  using Row = std::vector<Real, OnLines<Real>>;
  Row k, s;  ///< [band][colorant][lane]
  Row R, T;  ///< [band][value, slope a colorant][lane]

  // The colorants of each lane.
  alignas(64) Real u_max[N][W], u_min[N][W], exponent[N][W], saturation[N][W], filling[N][W];
  alignas(64) Real per_u_max[N][W];

  /// Where the lanes stand: strengths, and what they give.
  struct Point {
    alignas(64) Real u[N][W];
    alignas(64) Real F[W];  ///< the objective's square, the number of colorants left out
    alignas(64) Real slope[N][W];
    alignas(64) Real curvature[pairs][W];  ///< H, Gauss-Newton
  };
  Point now, trial;

  // The descent of each lane.
  alignas(64) Real damping[W];
  alignas(64) Real moving[W];    ///< 1: not yet at rest
  alignas(64) Real failures[W];  ///< failed steps in a row
  alignas(64) Real steps[W];
  alignas(64) Real promised[W];       ///< what the model promises of the step on its way
  alignas(64) Real learnt[pairs][W];  ///< E: curvature that H leaves out, learnt on the way
  Real rest_share;                    ///< how small a gain is nothing, as a share of the objective

  // One view (light, or transmitted) after the other: X Y Z and their slopes; the squared
  // difference q and its slope; the slopes of L*, a*, b*; the half curvature of q along these (LL,
  // aa, ab, bb).
  alignas(64) Real xyz[most_views][3][N + 1][W];
  alignas(64) Real square[most_views][W];
  alignas(64) Real square_slope[most_views][N][W];
  alignas(64) Real lab_slope[most_views][3][N][W];
  alignas(64) Real lab_curvature[most_views][4][W];

  // The worst light's part w f of the objective: its slope and curvature along each q, 3 / (w f),
  // and its slope along the strengths.
  alignas(64) Real worst_weight[most_lights][W], worst_bend[most_lights][W], root_bend[W];
  alignas(64) Real worst_slope[N][W];

  /// A step on its way.
  struct Way {
    alignas(64) Real curvature[pairs][W];    ///< A: H, E and the damping
    alignas(64) Real slope[N][W];            ///< of the model, where the step has come to
    alignas(64) Real gone[N][W];             ///< how far that is
    alignas(64) Real held[N][W];             ///< 1: this strength stays at a bound
    alignas(64) Real low[N][W], high[N][W];  ///< how far down and up it may go
    alignas(64) Real gained[W];              ///< what the model promises
    alignas(64) int going[W];                ///< 0: nothing left to go
  } way;
};

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
    lanes.k[b * N * W + at] = k[b];
    lanes.s[b * N * W + at] = s[b];
  }
  const Strength<Real>& law = problem.strength[c];
  lanes.filling[i][lane] = problem.filling[c];
  lanes.u_max[i][lane] = law.u_max;
  lanes.per_u_max[i][lane] = 1 / law.u_max;
  lanes.u_min[i][lane] = law.u_min;
  lanes.exponent[i][lane] = law.exponent;
  lanes.saturation[i][lane] = law.saturation;
}

/// Puts a lane at the start of a new descent.
template <class Real, int W, int N>
void start_lane(Lanes<Real, W, N>& lanes, int l, const Real (&u)[N]) {
  for (int i = 0; i < N; ++i) {
    lanes.now.u[i][l] = u[i];
    lanes.trial.u[i][l] = u[i];
    lanes.now.slope[i][l] = 0;
  }
  for (int p = 0; p < Lanes<Real, W, N>::pairs; ++p)
    lanes.now.curvature[p][l] = lanes.learnt[p][l] = 0;
  lanes.now.F[l] = Real(10) * Real(unvisited);
  lanes.damping[l] = 0;
  lanes.moving[l] = 1;
  lanes.failures[l] = 0;
  lanes.steps[l] = 0;
}

}  // namespace mendtone::detail
