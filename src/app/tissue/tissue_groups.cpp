#include "app/tissue/tissue_groups.hpp"

#include <algorithm>
#include <cmath>

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
          stands_apart(all[i]) == stands_apart(all[leader]) &&
          most_apart(all[leader], all[i]) < limit)
        all[i].group = groups;
  }
}

/// By how much its weight misses the sheet's, or what is a little less for a fill.
double off_weight(const TissueCandidate& one, double sheet_g_m2) {
  const double wanted = one.use == Use::loss ? 0.95 * sheet_g_m2 : sheet_g_m2;
  return one.weight_g_m2 ? std::abs(*one.weight_g_m2 - wanted) : 1e300;
}

/// Each group gathers behind its leader's place, by weight; groups keep the order of their leaders.
void order_groups_by_weight(std::vector<TissueCandidate>& all, double sheet_g_m2) {
  std::stable_sort(all.begin(), all.end(),
                   [&](const TissueCandidate& a, const TissueCandidate& b) {
                     return a.group != b.group
                                ? a.group < b.group
                                : off_weight(a, sheet_g_m2) < off_weight(b, sheet_g_m2);
                   });
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
  if (!tears && answer.sheet_weight_g_m2)
    return text + ": the nearest to the sheet's weight stands first. Choose by texture and sheen";
  if (!tears) return text + ": choose among them by weight, texture and sheen";
  text += ": the lightest stands first";
  const auto best =
      std::min_element(answer.candidates.begin(), answer.candidates.end(),
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

bool stands_apart(const TissueCandidate& one) {
  return one.fit == "does not fit" || !one.to_be_read_again.empty();
}

void put_groups(TissueAnswer& answer, double reading_u95_de00) {
  answer.told_apart_de00 = std::max(least_told_apart_de00, reading_u95_de00);
  number_groups(answer.candidates, *answer.told_apart_de00);
  if (only_tears(answer))
    std::stable_sort(answer.candidates.begin(), answer.candidates.end(),
                     [](const TissueCandidate& a, const TissueCandidate& b) {
                       return a.group != b.group ? a.group < b.group : is_lighter(a, b);
                     });
  else if (answer.sheet_weight_g_m2)
    order_groups_by_weight(answer.candidates, *answer.sheet_weight_g_m2);
  answer.groups = in_words(answer);
}

}  // namespace mendtone::app
