#include "report/decisions.hpp"

#include <algorithm>

#include "mendtone/report/decided.hpp"
#include "report/words.hpp"

namespace mendtone::report {

std::vector<Decision> decisions(const ReportContent& content) {
  std::vector<Decision> all;
  const auto of = [&](const std::string& loss) -> Decision& {
    for (Decision& known : all)
      if (known.loss == loss) return known;
    Decision made;
    made.loss = loss;
    return all.emplace_back(std::move(made));
  };
  for (const Fill& fill : content.fills) {
    Decision& decision = of(fill.loss);
    if (fill.chosen)
      decision.chosen.push_back(&fill);
    else if (!fill.verdict.empty())
      decision.set_aside.push_back(&fill);
    else if (!decision.nearest && fill.refused_because.empty())
      decision.nearest = &fill;
  }
  for (const Ending& ending : content.endings) of(ending.loss).ending = &ending;
  return all;
}

std::string verdict_words(std::string_view verdict) {
  return capital(std::string(verdict));
}

std::string no_longer_chosen(const std::string& fill) {
  return fill + " was chosen for this loss before; it is 'considered' now";
}

std::string superseded_by(const std::string& other) {
  return "superseded: " + other + " was chosen for the same loss";
}

std::string carried_out_already(const std::string& fill, const std::string& when,
                                const std::string& other) {
  return fill + " was chosen for this loss and carried out (" + when + "), so " + other +
         " cannot be chosen as well: correct the first one's verdict, or enter another loss";
}

namespace {

constexpr const char* no_choice_is_recorded = "no choice is recorded.";

}  // namespace

std::string standing_of(const Fill& fill) {
  if (fill.chosen) return verdict_words("chosen") + ".";
  if (!fill.refused_because.empty()) return verdict_words("refused") + ".";
  if (!fill.verdict.empty()) return verdict_words(fill.verdict) + ".";
  return std::string("Nearest by score; ") + no_choice_is_recorded;
}

std::string words_of(const Ending& ending) {
  return capital(ending.ended) + (ending.why.empty() ? "." : ": " + sentence(ending.why));
}

std::string no_choice(const Decision& decision) {
  return "Which fill was taken" + (decision.loss.empty() ? "" : " for " + decision.loss) + ": " +
         no_choice_is_recorded;
}

std::string standing_of(const RecipeCard& card) {
  if (card.chosen) return "";
  return card.entered ? "entered; no trial and no chosen fill uses it"
                      : "computed; no recipe was entered";
}

std::vector<const RecipeCard*> cards_in_use(const ReportContent& content) {
  for (const auto wanted : {&RecipeCard::chosen, &RecipeCard::entered}) {
    std::vector<const RecipeCard*> found;
    for (const RecipeCard& card : content.recipes)
      if (card.*wanted) found.push_back(&card);
    if (!found.empty()) return found;
  }
  if (content.recipes.empty()) return {};
  return {&content.recipes.front()};
}

}  // namespace mendtone::report
