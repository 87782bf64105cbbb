#pragma once
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "mendtone/match/setting.hpp"

namespace mendtone {

/// A colorant of a recipe, as the person named it.
struct ColorantUsed {
  std::string name, colour_index;
  std::string medium;  ///< what binds it, in her words; empty: not stated
};

/// A drop of a liquid on something of the sheet, and what came of it.
struct SpotTested {
  std::string tested, liquid;
  std::string outcome;  ///< "unchanged", "changed" or "unsure"
};

/// A bar that the person lifts, and why.
struct BarLifted {
  std::string name, reason;
};

/// What is about to be done, and to what: everything that cautions depend on. Texts are hers; an
/// empty one is not stated.
struct CautionCase {
  std::vector<std::string> acts;  ///< tone, attach, film, wash, record
  Use use = Use::loss;
  std::string media, stamps, sizing;  ///< of the sheet, near the place
  std::string adhesive, liquid;
  std::vector<ColorantUsed> colorants;
  std::set<std::string> marks;  ///< bath, brush, coats, bleeds, pasted read …
  std::vector<SpotTested> tested;
  std::vector<BarLifted> lifted;
};

struct Caution {
  std::string name;  ///< of its line in reference-data/cautions.csv
  std::string words;
  std::string source;
  bool bars = false;
  std::string lifted_because;  ///< a bar that yields to her reason
};

/// The cautions that apply, bars first; none that does not. A pure function of the case and of
/// reference-data/cautions.csv, treatment-words.csv and colorant-facts.csv.
std::vector<Caution> cautions_for(const CautionCase& about);

/// A spot test that nobody made yet, or that was left unsure.
struct OwedTest {
  std::string name;  ///< "spot test of watercolour with water"
  std::string why;
};
/// The tests of media, stamps and size with the liquids of these acts that are not decided. Iron-gall
/// ink is owed iron(II) test paper, since a spot test by eye cannot show what travels.
std::vector<OwedTest> tests_owed(const CautionCase& about);

/// The caution as it is printed; what bars says so, and how a reason lifts it. A published source
/// stands behind it; `common_practice_note` says what the others rest on.
std::string text_of(const Caution& caution);
inline constexpr std::string_view common_practice_note =
    "cautions that name no source: common practice, no source";

/// A medium, a size, an adhesive … as it is recognised in a text. `words`: as the person wrote
/// them.
struct Recognised {
  std::string kind, words;
};
/// What a text of that class (medium, sizing, adhesive, liquid, binder) speaks of; 'not stated'
/// where it is empty, and 'unknown' for each part that no word of the list recognises.
std::vector<Recognised> recognised(std::string_view word_class, std::string_view text);

}  // namespace mendtone
