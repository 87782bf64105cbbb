#include "report/decisions.hpp"

#include <algorithm>

#include "mendtone/report/decided.hpp"
#include "mendtone/report/sentences.hpp"
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
  const std::string name = capital(fill_words(fill)), adhesive = fact_of(fill, "adhesive"),
                    when = fact_of(fill, "carried_out");
  if (adhesive.empty() && when.empty()) return say(Sentence::done, {{"fill", name}});
  if (when.empty()) return say(Sentence::done_with, {{"fill", name}, {"adhesive", adhesive}});
  if (adhesive.empty()) return say(Sentence::done_when, {{"fill", name}, {"when", when}});
  return say(Sentence::done_with_when, {{"fill", name}, {"adhesive", adhesive}, {"when", when}});
}

std::string verdict_words(std::string_view verdict) {
  return capital(std::string(verdict));
}

std::string no_longer_chosen(const std::string& fill) {
  return say(Sentence::no_longer_chosen, {{"fill", fill}});
}

std::string superseded_by(const std::string& other) {
  return say(Sentence::superseded_by, {{"other", other}});
}

std::string carried_out_already(const std::string& fill, const std::string& when,
                                const std::string& other) {
  return say(Sentence::carried_out_already, {{"fill", fill}, {"when", when}, {"other", other}});
}

std::string standing_of(const Fill& fill) {
  if (fill.chosen) return say(Sentence::chosen);
  if (fill.verdict == "refused" || !fill.refused_because.empty()) return say(Sentence::refused);
  if (!fill.verdict.empty())
    return say(Sentence::verdict, {{"verdict", verdict_words(fill.verdict)}});
  return say(Sentence::nearest_only);
}

std::string words_of(const Ending& ending) {
  const std::string ended = capital(ending.ended);
  if (ending.why.empty()) return say(Sentence::ended, {{"ended", ended}});
  return say(Sentence::ended_because, {{"ended", ended}, {"why", sentence(ending.why)}});
}

std::string no_choice(const Decision& decision) {
  return decision.loss.empty() ? say(Sentence::no_choice)
                               : say(Sentence::no_choice_for, {{"loss", decision.loss}});
}

std::string standing_of(const RecipeCard& card) {
  if (card.chosen) return "";
  return say(card.entered ? Sentence::card_no_use : Sentence::card_computed);
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
