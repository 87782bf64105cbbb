#include <algorithm>
#include <cassert>
#include <cmath>
#include <iterator>
#include <memory>

#include "base/clones.hpp"
#include "match/recipe_search.hpp"

// Many subsets at a time, one a lane. Compiled for each generation of processors; products are
// fused where the code says so and nowhere else, so all of them give the same bits.

namespace mendtone::detail {
namespace {

template <int N>
using Room = Lanes<float, lane_width, N>;

constexpr int block = 1024;  ///< subsets that go through both passes together
constexpr int starts_each = static_cast<int>(std::size(starts));

/// Where a descent begins and, in the end, stands.
template <int N>
struct Descent {
  int subset = 0;
  float F = 0;
  float u[N] = {};
};

/// Deals descents to lanes, one after the other, and writes back where each came to.
template <int N>
struct Dealer {
  Room<N>& room;
  const Compiled<float>& problem;
  const std::uint8_t* subsets;
  Descent<N>* descents;
  int count;
  int next = 0;
  int busy = 0;
  int in[lane_width] = {};           ///< the descent; -1: the lane has nothing to do
  int placed[lane_width] = {};       ///< the subset whose colorants stand in the lane
  int colorant[N][lane_width] = {};  ///< which those are: neighbours among the subsets share most

  void begin() {
    for (int l = 0; l < lane_width; ++l) {
      placed[l] = -1;
      for (int i = 0; i < N; ++i) colorant[i][l] = -1;
      deal(l);
      if (in[l] >= 0) continue;
      // An idle lane still computes, and must compute numbers.
      put(l, descents[0]);
      room.moving[l] = 0;
    }
  }
  void put(int l, const Descent<N>& descent) {
    if (placed[l] != descent.subset)
      for (int i = 0; i < N; ++i) {
        const int c = subsets[descent.subset * N + i];
        if (c != colorant[i][l]) place_colorant(room, problem, i, l, c);
        colorant[i][l] = c;
      }
    placed[l] = descent.subset;
    start_lane(room, l, descent.u);
  }
  void deal(int l) {
    // The starts of one subset follow each other in one lane.
    const bool more = in_turn(l);
    if (!more && next == count) {
      in[l] = -1;
      return;
    }
    in[l] = more ? in[l] + 1 : next;
    if (!more) {
      const int subset = descents[next].subset;
      while (next < count && descents[next].subset == subset) ++next;
    }
    ++busy;
    put(l, descents[in[l]]);
  }
  bool in_turn(int l) const {
    return placed[l] >= 0 && in[l] + 1 < count && descents[in[l] + 1].subset == placed[l];
  }
  bool operator()(int l) {
    if (in[l] < 0) return busy > 0;
    Descent<N>& done = descents[in[l]];
    done.F = room.now.F[l];
    for (int i = 0; i < N; ++i) done.u[i] = room.now.u[i][l];
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

/// What a solver of subsets of N works in.
template <int N>
struct Space {
  explicit Space(std::size_t bands) : room(bands) {}
  Room<N> room;
  Descent<N> descents[block * starts_each];
};

template <int N>
int set_out(const Compiled<float>& problem, const std::uint8_t* subsets, int count,
            Descent<N>* descents) {
  int made = 0;
  for (int j = 0; j < count; ++j)
    for (double share : starts) {
      Descent<N>& d = descents[made++];
      d.subset = j;
      for (int i = 0; i < N; ++i) {
        const Strength<float>& law = problem.strength[subsets[j * N + i]];
        d.u[i] = std::max(law.u_min, static_cast<float>(share) * law.u_max);
      }
    }
  return made;
}

template <int N>
bool same_place(const Descent<N>& one, const Descent<N>& two, const std::uint8_t* colorants,
                const Compiled<float>& problem) {
  for (int i = 0; i < N; ++i)
    if (std::abs(one.u[i] - two.u[i]) > 0.01F * problem.strength[colorants[i]].u_max) return false;
  return true;
}

/// Of each subset's descents those worth going on with: the lowest, and any that came near it
/// elsewhere, since the first pass counts few bands. Returns how many remain.
template <int N>
int still_worth(const Compiled<float>& problem, const std::uint8_t* subsets, int count,
                Descent<N>* descents) {
  constexpr float near_de00 = 0.3F;
  int kept = 0;
  for (int j = 0; j < count; ++j) {
    Descent<N> own[starts_each];
    std::copy_n(descents + j * starts_each, starts_each, own);
    std::sort(own, own + starts_each,
              [](const Descent<N>& a, const Descent<N>& b) { return a.F < b.F; });
    const int first = kept;
    for (const Descent<N>& d : own) {
      const bool worth = kept == first || (root(d.F) < root(own[0].F) + near_de00 &&
                                           !same_place<N>(d, own[0], subsets + j * N, problem));
      if (worth) descents[kept++] = d;
    }
  }
  return kept;
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

LaneSolver::LaneSolver(const Compiled<float>& problem, int N)
    : problem_(problem), few_bands_(thinned(problem)), N_(N) {
  space_ = with_count(
      N, [&](auto n) -> void* { return std::make_unique<Space<n()>>(problem.bands).release(); });
}

LaneSolver::~LaneSolver() {
  with_count(N_, [&](auto n) { delete static_cast<Space<n()>*>(space_); });
}

void LaneSolver::solve(const std::uint8_t* subsets, int count, float* F, float* strengths) {
  with_count(N_, [&](auto n) {
    constexpr int N = n();
    Space<N>& space = *static_cast<Space<N>*>(space_);
    const auto descend = [&](const Compiled<float>& problem, const std::uint8_t* of, int descents,
                             float part) {
      space.room.rest_share = part;
      Dealer<N> dealer{space.room, problem, of, space.descents, descents};
      dealer.begin();
      evaluations_ += static_cast<std::uint64_t>(minimise_lanes(space.room, problem, dealer));
    };
    for (int first = 0; first < count; first += block) {
      const int some = std::min(block, count - first);
      const std::uint8_t* of = subsets + static_cast<std::ptrdiff_t>(first) * N;
      descend(few_bands_, of, set_out<N>(problem_, of, some, space.descents), 1e-2F);
      const int left = still_worth<N>(problem_, of, some, space.descents);
      descend(problem_, of, left, 1e-4F);
      std::fill_n(F + first, some, unvisited);
      for (int d = 0; d < left; ++d) {
        const Descent<N>& done = space.descents[d];
        const int j = first + done.subset;
        if (!(done.F < F[j])) continue;
        F[j] = done.F;
        std::copy_n(done.u, N, strengths + static_cast<std::ptrdiff_t>(j) * N);
      }
    }
  });
}

}  // namespace mendtone::detail
