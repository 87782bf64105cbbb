#include <cassert>
#include <memory>

#include "match/recipe_search.hpp"

// One recipe at a time in double precision: finishing, and the objective for its peers.

namespace mendtone::detail {
namespace {

template <int N>
void place_all(Lanes<double, 1, N>& room, const Compiled<double>& problem,
               const std::vector<int>& colorants, const double* strengths) {
  double u[N];
  for (int i = 0; i < N; ++i) {
    place_colorant(room, problem, i, 0, colorants[i]);
    u[i] = strengths[i];
  }
  start_lane(room, 0, u);
}

template <int N>
double minimise_one(const Compiled<double>& problem, const std::vector<int>& colorants,
                    double* strengths) {
  const auto room = std::make_unique<Lanes<double, 1, N>>(problem.bands);
  place_all(*room, problem, colorants, strengths);
  room->rest_share = 1e-9;
  auto once = [](int) { return false; };
  minimise<double, 1, N>(*room, problem, once);
  for (int i = 0; i < N; ++i) strengths[i] = room->now.u[i][0];
  return room->now.F[0];
}

template <int N>
double objective_one(const Compiled<double>& problem, const std::vector<int>& colorants,
                     const double* strengths, double* slope) {
  // A peer calls this thousands of times: the room is kept.
  thread_local std::unique_ptr<Lanes<double, 1, N>> room;
  thread_local const Compiled<double>* of = nullptr;
  if (!room || of != &problem) room = std::make_unique<Lanes<double, 1, N>>(problem.bands);
  of = &problem;
  place_all(*room, problem, colorants, strengths);
  evaluate<double, 1, N>(*room, problem, room->now);
  if (slope)
    for (int i = 0; i < N; ++i) slope[i] = room->now.slope[i][0];
  return room->now.F[0];
}

}  // namespace

double finish(const Compiled<double>& problem, const std::vector<int>& colorants,
              double* strengths) {
  switch (colorants.size()) {
#define MENDTONE_CASE(N) \
  case N:                \
    return minimise_one<N>(problem, colorants, strengths);
    MENDTONE_CASE(1)
    MENDTONE_CASE(2)
    MENDTONE_CASE(3)
    MENDTONE_CASE(4)
    MENDTONE_CASE(5)
    MENDTONE_CASE(6)
#undef MENDTONE_CASE
    default:
      assert(false);
      return 0;
  }
}

double scalar_objective(const Compiled<double>& problem, const std::vector<int>& colorants,
                        const double* strengths, double* slope) {
  switch (colorants.size()) {
#define MENDTONE_CASE(N) \
  case N:                \
    return objective_one<N>(problem, colorants, strengths, slope);
    MENDTONE_CASE(1)
    MENDTONE_CASE(2)
    MENDTONE_CASE(3)
    MENDTONE_CASE(4)
    MENDTONE_CASE(5)
    MENDTONE_CASE(6)
#undef MENDTONE_CASE
    default:
      assert(false);
      return 0;
  }
}

}  // namespace mendtone::detail
