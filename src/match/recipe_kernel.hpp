#pragma once
#include "match/recipe_objective.hpp"
#include "match/recipe_step.hpp"

// How the loads of one set of colorants are found; W sets are solved side by side, one a lane.
//
// Unknowns    u_i, the strength of colorant i, between u_min and u_max. The load follows from it:
//               load_i / max_i = t^e / (1 + (1 - t) r),  t = u_i / u_max.
// Fill        In each band the colorants add to the ply's own K0 and S0 (all plies, not one):
//               A = sum_i k_i u_i                       K = K0 + added,  added = A (1 + c A)^(-1/6)
//               B = S0 exp(-sum_i f_i u_i) + sum_i s_i u_i    S = B^2 / (B + d added)
//             with the screening c, the quenching d and the fillings f_i; c = d = 0: K0 + A, B.
// Seen        R(K, S) and T(K, S) of the fill at its place: of two fluxes by recipe_layer.hpp, of
//             many by recipe_surface.hpp;
//             X = sum over bands of w R; L*, a*, b*; and under light m, or transmitted, the square
//               q_m = CIEDE2000(aim_m, seen_m)^2, by recipe_difference.hpp.
//
// Objective   F(u) = w_v q_1 + w_w f + w_t q_T + w_l sum_i load_i / max_i,  f = (sum_m q_m^4)^(1/4)
//             f is nearly the largest q, the worst light's, and smooth where two change places.
// Slope       g = sum_m a_m dq_m + w_l d(load / max),  a_m = [m = 1] w_v + w_w (q_m / f)^3, a_T =
// w_t
//               dq  = q_L dL + q_a da + q_b db          (along every u_i)
//               dR  = R_K dK + R_S dS                   (dK, dS: the fill's lines, differentiated)
// Curvature   H = sum_m 2 a_m J_m' C_m J_m + 3 w_w (sum_m (q_m^2 / f^3) dq_m dq_m' - df df' / f)
//             J_m: slopes of L*, a*, b*; C_m: half the curvature of q_m along them, with what is
//             always positive of it only (Gauss-Newton).
//
// Step        d minimises  g'd + d'A d / 2  within  u_min <= u + d <= u_max,
//               A = H + E + mu diag(H),
//             by at most N legs along p = -A^-1 (g + A d) over the strengths that are not held,
//               alpha = min(-(g + A d)'p / p'A p, room to the first bound),  d <- d + alpha p;
//             a strength that comes to its bound is held there. Each leg can only gain.
// Learning    from d and y = g(u + d) - g(u):  r = y - (H + E) d,  E <- E + r r' / (r'd).
// Damping     F fell: u <- u + d, and mu <- mu / 10 if by more than half of what the model
// promised;
//             else mu <- 8 mu + 0.02.
// Rest        promise (1 + 20 mu) < share (F^(1/2) + 0.02); or seven failures in a row; or 60
// steps.

namespace mendtone::detail {

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
      if (lanes.moving[l] == 0 && !feed(l)) return evaluations;
  }
}

}  // namespace mendtone::detail
