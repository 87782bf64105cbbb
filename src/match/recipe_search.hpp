#pragma once
#include <cstdint>
#include <vector>

#include "match/recipe_kernel.hpp"
#include "mendtone/match/recipe.hpp"

namespace mendtone::detail {

constexpr int lane_width = 16;

/// `at_least`: empty, or one smallest load a colorant.
template <class Real>
Compiled<Real> compile(const WashProblem& problem, const std::vector<double>& at_least);

/// The same with the aims of `problem`, which else is as the one that was compiled.
template <class Real>
Compiled<Real> with_aims(Compiled<Real> compiled, const WashProblem& problem);

/// The same problem on about a third of its bands, the weights of those between folded into them by
/// cubics: near enough to descend in, not to judge by.
Compiled<float> thinned(const Compiled<float>& full);

/// The load whose strength is u.
double load_of(const LoadLaw& law, double u);

/// The squared objective without the number of colorants, and its slope along the strengths of
/// `colorants`; for peers that minimise the same thing, and for tests.
double scalar_objective(const Compiled<double>& problem, const std::vector<int>& colorants,
                        const double* strengths, double* slope);

/// Minimises the same in double precision from `strengths`, which it overwrites.
double finish(const Compiled<double>& problem, const std::vector<int>& colorants,
              double* strengths);

/// A start's strengths as a share of the largest: the same for every solver that is compared.
constexpr double starts[] = {0.02, 0.3};

/// Solves `count` subsets of `N` colorants each (`subsets`: count x N indices), and writes the
/// squared objective and the strengths of each: a descent from every start on few bands, then from
/// where those came to on all of them. `solve` allocates nothing.
class LaneSolver {
 public:
  LaneSolver(const Compiled<float>& problem, int N);
  ~LaneSolver();
  LaneSolver(const LaneSolver&) = delete;
  LaneSolver& operator=(const LaneSolver&) = delete;

  void solve(const std::uint8_t* subsets, int count, float* F, float* strengths);
  std::uint64_t evaluations() const { return evaluations_; }

 private:
  const Compiled<float>& problem_;
  Compiled<float> few_bands_;
  int N_;
  void* space_;
  std::uint64_t evaluations_ = 0;
};

}  // namespace mendtone::detail
