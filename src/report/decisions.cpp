#include "report/decisions.hpp"

#include <algorithm>

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

namespace {

std::string fact_of(const Fill& fill, const char* name) {
  for (const Fact& fact : fill.entered)
    if (fact.name == name) return fact.value;
  return {};
}

}  // namespace

std::string done_words(const Fill& fill) {
  std::string text = capital(fill_words(fill));
  if (const std::string adhesive = fact_of(fill, "adhesive"); !adhesive.empty())
    text += ", with " + adhesive;
  if (const std::string when = fact_of(fill, "carried_out"); !when.empty()) text += ", " + when;
  return text + ".";
}

std::string standing_of(const Fill& fill) {
  if (fill.chosen) return "Chosen.";
  if (fill.verdict == "refused" || !fill.refused_because.empty()) return "Refused.";
  if (!fill.verdict.empty()) return capital(fill.verdict) + ".";
  return "Nearest by score; no choice is recorded.";
}

std::string words_of(const Ending& ending) {
  return capital(ending.ended) + (ending.why.empty() ? "." : ": " + sentence(ending.why));
}

std::string no_choice(const Decision& decision) {
  return "Which fill was taken" + (decision.loss.empty() ? "" : " for " + decision.loss) +
         ": no choice is recorded.";
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
