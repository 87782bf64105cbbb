#include "mendtone/match/coats.hpp"

#include <algorithm>
#include <cmath>

#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/difference.hpp"

namespace mendtone {
namespace {

std::vector<double> times(std::vector<double> loads, double factor) {
  for (double& load : loads) load *= factor;
  return loads;
}

}  // namespace

Result<std::vector<Coat>> coats(const WashProblem& problem, const std::vector<double>& loads,
                                int count) {
  MENDTONE_TRY(check(problem, loads));
  if (count < 1) return bad_input("at least one coat is needed, found " + std::to_string(count));
  std::vector<Coat> plan;
  for (int n = 1; n <= count; ++n) {
    Coat coat{n, n == count ? loads : times(loads, static_cast<double>(n) / count), {}};
    coat.colour = predict_unchecked(problem, coat.loads);
    plan.push_back(std::move(coat));
  }
  return plan;
}

int first_trial_coat(int count) {
  return std::max(1, count * 4 / 5);
}

Result<std::vector<LetDown>> let_down_series(const WashProblem& problem,
                                             const std::vector<double>& loads,
                                             const std::vector<double>& factors,
                                             const std::vector<Lab>& gaps) {
  MENDTONE_TRY(check(problem, loads));
  std::vector<LetDown> series;
  for (double factor : factors) {
    if (!(factor > 0))
      return bad_input("a bath is let down to a share of its strength above 0, found " +
                       (std::isfinite(factor) ? shortest(factor) : "no number"));
    LetDown sheet{factor, times(loads, factor), {}, {}};
    sheet.colour = predict_unchecked(problem, sheet.loads);
    for (const Lab& gap : gaps) sheet.gap_de00.push_back(de00(gap, sheet.colour.by_light[0].lab));
    series.push_back(std::move(sheet));
  }
  return series;
}

}  // namespace mendtone
