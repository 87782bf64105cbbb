#include <algorithm>
#include <cassert>
#include <iterator>

#include "match/recipe_search.hpp"

// Many subsets at a time, one a lane. Compiled for each generation of processors; products are
// never fused, so all of them give the same bits.

#if defined(__x86_64__) && !defined(__SANITIZE_ADDRESS__) && defined(__linux__)
#define MENDTONE_CLONES __attribute__((target_clones("avx512f", "avx2", "default")))
#else
#define MENDTONE_CLONES
#endif

namespace mendtone::detail {
namespace {

template <int N>
using Room = Lanes<float, lane_width, N>;

/// Deals subsets to lanes, each once from every start, and keeps the best of the starts.
template <int N>
struct Dealer {
  Room<N>& room;
  const Compiled<float>& problem;
  const std::uint8_t* subsets;
  int count;
  float* F;
  float* strengths;
  int next = 0;
  int busy = 0;
  int subset[lane_width] = {};  ///< -1: the lane has nothing to do
  int start[lane_width] = {};

  void begin() {
    for (int l = 0; l < lane_width; ++l) {
      subset[l] = -1;
      deal(l);
      if (subset[l] >= 0) continue;
      // An idle lane still computes, and must compute numbers.
      for (int i = 0; i < N; ++i) place_colorant(room, problem, i, l, subsets[i]);
      from(l, starts[0]);
      room.open[l] = 0;
    }
  }
  void deal(int l) {
    if (next == count) {
      subset[l] = -1;
      return;
    }
    subset[l] = next++;
    start[l] = 0;
    ++busy;
    for (int i = 0; i < N; ++i) place_colorant(room, problem, i, l, subsets[subset[l] * N + i]);
    from(l, starts[0]);
  }
  void from(int l, double share) {
    float u[N];
    for (int i = 0; i < N; ++i)
      u[i] = std::max(room.u_min[i][l], static_cast<float>(share) * room.u_max[i][l]);
    start_lane(room, l, u);
  }
  bool operator()(int l) {
    const int j = subset[l];
    if (j < 0) return busy > 0;
    if (start[l] == 0 || room.now.F[l] < F[j]) {
      F[j] = room.now.F[l];
      for (int i = 0; i < N; ++i) strengths[j * N + i] = room.now.u[i][l];
    }
    if (++start[l] < static_cast<int>(std::size(starts))) {
      from(l, starts[start[l]]);
      return true;
    }
    --busy;
    deal(l);
    return busy > 0;
  }
};

#define MENDTONE_MINIMISE(N)                                                        \
  MENDTONE_CLONES int minimise_lanes(Room<N>& room, const Compiled<float>& problem, \
                                     Dealer<N>& dealer) {                           \
    return minimise<float, lane_width, N>(room, problem, dealer);                   \
  }

MENDTONE_MINIMISE(1)
MENDTONE_MINIMISE(2)
MENDTONE_MINIMISE(3)
MENDTONE_MINIMISE(4)

#undef MENDTONE_MINIMISE

template <int N>
void* make_room(std::size_t bands) {
  return new Room<N>(bands);
}

/// Calls `f` with N as a compile-time number.
template <class F>
auto with_count(int N, F f) {
  switch (N) {
    case 1:
      return f(std::integral_constant<int, 1>{});
    case 2:
      return f(std::integral_constant<int, 2>{});
    case 3:
      return f(std::integral_constant<int, 3>{});
    default:
      break;
  }
  assert(N == most_searched);
  return f(std::integral_constant<int, most_searched>{});
}

}  // namespace

LaneSolver::LaneSolver(const Compiled<float>& problem, int N) : problem_(problem), N_(N) {
  room_ = with_count(N, [&](auto n) { return make_room<n()>(problem.bands); });
}

LaneSolver::~LaneSolver() {
  with_count(N_, [&](auto n) { delete static_cast<Room<n()>*>(room_); });
}

void LaneSolver::solve(const std::uint8_t* subsets, int count, float* F, float* strengths) {
  if (count == 0) return;
  with_count(N_, [&](auto n) {
    Room<n()>& room = *static_cast<Room<n()>*>(room_);
    Dealer<n()> dealer{room, problem_, subsets, count, F, strengths};
    dealer.begin();
    evaluations_ += static_cast<std::uint64_t>(minimise_lanes(room, problem_, dealer));
  });
}

}  // namespace mendtone::detail
