#include "app/tissue/tissue_groups.hpp"

#include <algorithm>

#include "app/inputs/text.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/difference.hpp"

namespace mendtone::app {
namespace {

using results::TissueAnswer;
using results::TissueCandidate;

/// The largest difference under any light that both are known under.
double most_apart(const TissueCandidate& one, const TissueCandidate& other) {
  double most = -1;
  for (const results::ColourUnder& a : one.by_light)
    for (const results::ColourUnder& b : other.by_light)
      if (a.light == b.light) most = std::max(most, de00(a.lab, b.lab));
  return most < 0 ? 1e300 : most;
}

void number_groups(std::vector<TissueCandidate>& all, double limit) {
  int groups = 0;
  for (std::size_t leader = 0; leader < all.size(); ++leader) {
    if (all[leader].group) continue;
    all[leader].group = ++groups;
    for (std::size_t i = leader + 1; i < all.size(); ++i)
      if (!all[i].group && all[i].use == all[leader].use &&
          most_apart(all[leader], all[i]) < limit)
        all[i].group = groups;
  }
}

bool only_tears(const TissueAnswer& answer) {
  return !answer.candidates.empty() &&
         std::all_of(answer.candidates.begin(), answer.candidates.end(),
                     [](const TissueCandidate& c) { return c.use == Use::tear; });
}

/// What was never weighed stands last.
bool is_lighter(const TissueCandidate& one, const TissueCandidate& other) {
  return one.weight_g_m2.value_or(1e300) < other.weight_g_m2.value_or(1e300);
}

std::string in_words(const TissueAnswer& answer) {
  const auto first = std::count_if(answer.candidates.begin(), answer.candidates.end(),
                                   [](const TissueCandidate& c) { return c.group == 1; });
  if (first < 2) return {};
  const bool tears = only_tears(answer);
  std::string text = "The first " + std::to_string(first) + " of " +
                     std::to_string(answer.candidates.size()) +
                     " cannot be told apart (less than " + fixed(*answer.told_apart_de00, 2) +
                     " DeltaE00 from the first under every light)";
  if (!tears) return text + ": choose among them by weight, texture and sheen";
  text += ": the lightest stands first";
  const auto best = std::min_element(
      answer.candidates.begin(), answer.candidates.end(),
      [](const TissueCandidate& a, const TissueCandidate& b) {
        return a.open_line_de00.value_or(1e300) < b.open_line_de00.value_or(1e300);
      });
  if (best->open_line_de00)
    text += ". In the open line of the tear, where the tissue is bare, the nearest is " +
            best->tissue + ", " + counted(static_cast<std::size_t>(best->plies), "ply", "plies") +
            " (" + fixed(*best->open_line_de00, 2) + ")";
  return text;
}

}  // namespace

void put_groups(TissueAnswer& answer, double reading_u95_de00) {
  answer.told_apart_de00 = std::max(least_told_apart_de00, reading_u95_de00);
  number_groups(answer.candidates, *answer.told_apart_de00);
  if (only_tears(answer))
    std::stable_sort(answer.candidates.begin(), answer.candidates.end(),
                     [](const TissueCandidate& a, const TissueCandidate& b) {
                       return a.group != b.group ? a.group < b.group : is_lighter(a, b);
                     });
  answer.groups = in_words(answer);
}

}  // namespace mendtone::app
