#pragma once
#include <string>
#include <vector>

#include "mendtone/report/content.hpp"

// What was decided, and the only sentences that say so.
namespace mendtone::report {

/// What was decided of one loss or tear.
struct Decision {
  std::string loss;                    ///< empty: the content names none
  std::vector<const Fill*> chosen;     ///< one, unless files say otherwise
  std::vector<const Fill*> set_aside;  ///< entered as refused or only considered
  const Fill* nearest = nullptr;       ///< the first that was ranked and not decided on
  const Ending* ending = nullptr;

  bool is_open() const { return chosen.empty() && !(ending && ending->ended == "left alone"); }
};

/// One a loss, in the order in which their fills stand; then losses that only ended.
std::vector<Decision> decisions(const ReportContent& content);

/// "Kozo 12, 2 plies, with wheat-starch paste, 2026-03-01."
std::string done_words(const Fill& fill);

/// "Chosen.", "Refused.", "Considered.", or that this is only the nearest.
std::string standing_of(const Fill& fill);
/// "Filled: …", "Left alone: …".
std::string words_of(const Ending& ending);
/// What is not known where no choice is recorded.
std::string no_choice(const Decision& decision);

/// How a wash stands: whether it was decided on, entered, or only computed.
std::string standing_of(const RecipeCard& card);

/// Washes that matter: those decided on, else those entered, else the nearest computed.
std::vector<const RecipeCard*> cards_in_use(const ReportContent& content);

}  // namespace mendtone::report
