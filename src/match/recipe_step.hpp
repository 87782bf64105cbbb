#pragma once
#include "match/recipe_lanes.hpp"

// The bounded step of every lane from where it stands, and what is learnt from it; the formulas
// stand at the top of recipe_kernel.hpp. Figures without another reason are our own choice:
// they steer how soon a descent ends, not where.

namespace mendtone::detail {

constexpr int most_steps = 60;  ///< of one descent; what needs more is let go
constexpr int most_failures =
    6;  ///< in a row; after one more the damping is 6000, and steps are nothing

/// What keeps the model of F a valley, and a step inside its bounds.
template <class Real>
struct Bounds {
  static constexpr Real nothing = Real(1e-30);  ///< keeps a division by 0 away
  static constexpr Real far = Real(1e30);  ///< room of a strength that is held: it stops no leg
  /// A pivot of the factorisation is at least this share of its diagonal: what single precision
  /// leaves of it (6e-8) after a few differences.
  static constexpr Real pivot = Real(1e-6);
  /// What was learnt may take all but this share of a colorant's own curvature.
  static constexpr Real own_curvature = Real(0.1);
  /// Curvature, in units of the largest strength, of a colorant that changes nothing seen.
  static constexpr Real flat = Real(1e-6);
  /// Along a leg, A bends at least by this share of its diagonal.
  static constexpr Real leg_curvature = Real(1e-3);
  /// A leg that leaves less than this share of its slope has solved its model.
  static constexpr Real solved = Real(0.01);
  /// A strength nearer to a bound than this share of the largest is at the bound: rounding must not
  /// leave a trace of a colorant in a recipe.
  static constexpr Real at_bound = Real(1e-6);
};

/// When a lane rests. F is a square: a gain of 2e-4 of the objective in it is 1e-4 DeltaE00.
template <class Real>
struct Rest {
  static constexpr Real root_at_0 = Real(1e-9);        ///< keeps the root of F off 0
  static constexpr Real least_objective = Real(0.02);  ///< DeltaE00: nearer is near enough
  /// A heavily damped step promises little, and that is no sign of rest.
  static constexpr Real damping = Real(20);
};

/// When the slopes at both ends of a step may teach curvature: the miss r lies along the step s
/// (squared cosine), and the slope's change y along it is within a factor of the model's.
template <class Real>
struct Learning {
  static constexpr Real least_cosine2 = Real(1e-4);
  static constexpr Real least_off = Real(0.1), most_off = Real(10);
};

/// Levenberg's damping mu, in units of the curvature's diagonal.
template <class Real>
struct Damping {
  static constexpr Real first = Real(0.02);
  static constexpr Real raised = Real(8);          ///< times, after a step that gained nothing
  static constexpr Real eased = Real(0.1);         ///< times, after a step that
  static constexpr Real kept_promise = Real(0.5);  ///< gained more than this share of its promise
};

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
        const Real least = fused(Bounds<Real>::pivot, A[pair_of(i, i)], Bounds<Real>::nothing);
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
    each<Lanes<Real, W, N>::pairs>([&](auto p) MENDTONE_HERE {
      way.curvature[p][l] = now.curvature[p][l] + lanes.learnt[p][l];
    });
    each<N>([&](auto i) MENDTONE_HERE {
      const Real g = now.slope[i][l], per = lanes.per_u_max[i][l];
      const Real low = lanes.u_min[i][l] - now.u[i][l], high = lanes.u_max[i][l] - now.u[i][l];
      const bool fixed = ((low >= 0) & (g > 0)) | ((high <= 0) & (g < 0));
      way.slope[i][l] = g;
      way.low[i][l] = low;
      way.high[i][l] = high;
      way.held[i][l] = fixed ? Real(1) : Real(0);
      way.gone[i][l] = 0;
      const Real own = now.curvature[pair_of(i, i)][l], least = Bounds<Real>::own_curvature * own;
      const Real bent = way.curvature[pair_of(i, i)][l];
      way.curvature[pair_of(i, i)][l] =
          (bent > least ? bent : least) +
          fused(lanes.damping[l], own, Bounds<Real>::flat * per * per);
    });
    way.gained[l] = 0;
    way.going[l] = lanes.moving[l] > 0 ? 1 : 0;
  }
}

/// One leg of a step: along the direction of the strengths that are not held, to where the model is
/// lowest or to the first bound, which then holds its strength. Returns whether any lane goes on.
template <class Real, int W, int N>
MENDTONE_INLINE bool leg(typename Lanes<Real, W, N>::Way& way) {
  MENDTONE_LANE_LOOP
  for (int l = 0; l < W; ++l) {
    Real A[Lanes<Real, W, N>::pairs], p[N], held[N], Ap[N], room[N];
    each<Lanes<Real, W, N>::pairs>([&](auto k) MENDTONE_HERE { A[k] = way.curvature[k][l]; });
    each<N>([&](auto i) MENDTONE_HERE {
      held[i] = way.held[i][l];
      p[i] = -way.slope[i][l];
    });
    solve_symmetric<N>(A, held, p);
    Real down = 0, bent = 0, least = Bounds<Real>::nothing;
    each<N>([&](auto i) MENDTONE_HERE {
      down = fused(-way.slope[i][l], p[i], down);
      least = fused(Bounds<Real>::leg_curvature * A[pair_of(i, i)] * p[i], p[i], least);
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
      const Real d = way.gone[i][l], size = p[i] < 0 ? -p[i] : p[i];
      const Real left = p[i] < 0 ? d - way.low[i][l] : way.high[i][l] - d;
      room[i] = fused(left, inverse_of(size + Bounds<Real>::nothing), held[i] * Bounds<Real>::far);
      along = room[i] < along ? room[i] : along;
    });
    along = along > 0 ? along : Real(0);
    way.gained[l] = fused(along, fused(Real(-0.5) * along, bent, down), way.gained[l]);
    const bool hit = moves & (along < best);
    Real left_over = 0;
    each<N>([&](auto i) MENDTONE_HERE {
      const Real to = fused(along, p[i], way.gone[i][l]);
      const Real bound = p[i] < 0 ? way.low[i][l] : way.high[i][l];
      const bool stops = hit & (room[i] <= along);
      way.gone[i][l] = stops ? bound : to;
      way.held[i][l] = stops ? Real(1) : held[i];
      const Real slope = fused(along, Ap[i], way.slope[i][l]), gain = slope * p[i];
      way.slope[i][l] = slope;
      left_over += gain < 0 ? -gain : gain;
    });
    // Where A is no valley, its solution is no more than a direction, and leaves slope behind.
    way.going[l] = hit | (moves & (left_over > Bounds<Real>::solved * down)) ? 1 : 0;
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
  const Real rest_share = lanes.rest_share;
  MENDTONE_LANE_LOOP
  for (int l = 0; l < W; ++l) {
    each<N>([&](auto i) MENDTONE_HERE {
      const Real least = lanes.u_min[i][l], most = lanes.u_max[i][l],
                 near = Bounds<Real>::at_bound * most;
      Real v = now.u[i][l] + way.gone[i][l];
      v = v < least + near ? least : v;
      lanes.trial.u[i][l] = v > most - near ? most : v;
    });
    const Real promised = way.gained[l], moving = lanes.moving[l];
    lanes.promised[l] = promised;
    const Real enough =
        rest_share * (root(now.F[l] + Rest<Real>::root_at_0) + Rest<Real>::least_objective);
    const Real could = promised * fused(Rest<Real>::damping, lanes.damping[l], Real(1));
    lanes.moving[l] = could < enough ? Real(0) : moving;
  }
}

/// The trial's figure in the lanes that take it.
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
        const Real a = now.curvature[pair_of(i, j)][l], b = trial.curvature[pair_of(i, j)][l];
        Hs = fused(taken ? b : a, s[j], Hs);
        Bs = fused(lanes.learnt[pair_of(i, j)][l], s[j], Bs);
      });
      const Real y = trial.slope[i][l] - now.slope[i][l];
      r[i] = y - Hs - Bs;
      stiff += s[i] * Hs;
      seen += s[i] * y;
      fit += s[i] * r[i];
      r2 += r[i] * r[i];
      s2 += s[i] * s[i];
    });
    const bool sound = (fit * fit > Learning<Real>::least_cosine2 * r2 * s2) &
                       (seen > Learning<Real>::least_off * stiff) &
                       (seen < Learning<Real>::most_off * stiff) & (now.F[l] < unvisited);
    const Real factor = (sound ? Real(1) : Real(0)) * inverse_of(sound ? fit : Real(1));
    each<N>([&](auto i) MENDTONE_HERE {
      const Real fi = factor * r[i];
      each<i + 1>([&](auto j) MENDTONE_HERE {
        lanes.learnt[pair_of(i, j)][l] = fused(fi, r[j], lanes.learnt[pair_of(i, j)][l]);
      });
    });
  }
}

/// Takes the trial of every lane where F fell, and sets the damping of the next step.
template <class Real, int W, int N>
MENDTONE_INLINE void accept(Lanes<Real, W, N>& lanes) {
  auto &now = lanes.now, &trial = lanes.trial;
  alignas(64) Real take[W];
  MENDTONE_LANE_LOOP
  for (int l = 0; l < W; ++l) {
    const Real mu = lanes.damping[l], gain = now.F[l] - trial.F[l], moving = lanes.moving[l];
    const bool better = (gain > 0) & (moving > 0);
    const Real taken = better ? Real(1) : Real(0), failed = 1 - taken;
    const bool kept_promise = gain > Damping<Real>::kept_promise * lanes.promised[l];
    const Real eased = kept_promise ? Damping<Real>::eased : Real(1);
    const Real failures = failed * (lanes.failures[l] + 1), steps = lanes.steps[l] + 1;
    take[l] = taken;
    lanes.damping[l] =
        taken * eased * mu + failed * fused(mu, Damping<Real>::raised, Damping<Real>::first);
    lanes.failures[l] = failures;
    lanes.steps[l] = steps;
    const Real patient = failures > most_failures ? Real(0) : moving;
    lanes.moving[l] = steps > most_steps ? Real(0) : patient;
  }
  take_over<Real, W>(now.F, trial.F, take);
  for (int i = 0; i < N; ++i) {
    take_over<Real, W>(now.u[i], trial.u[i], take);
    take_over<Real, W>(now.slope[i], trial.slope[i], take);
  }
  for (int p = 0; p < Lanes<Real, W, N>::pairs; ++p)
    take_over<Real, W>(now.curvature[p], trial.curvature[p], take);
}

}  // namespace mendtone::detail
