#include "mendtone/match/cautions.hpp"

#include <algorithm>

#include "mendtone/base/plain_text.hpp"
#include "mendtone/base/reference_data.hpp"
#include "mendtone/base/text_rows.hpp"
#include "mendtone/base/words.hpp"
#include "mendtone/match/colorant_facts.hpp"

namespace mendtone {
namespace {

constexpr const char* not_stated = "not stated";
constexpr const char* unknown = "unknown";
constexpr const char* practice = "common practice, no source";

struct ListedWord {
  std::string word_class, kind, word;
  std::size_t line = 0;
};

/// Every word of treatment-words.csv, the longest first.
const std::vector<ListedWord>& listed_words() {
  static const std::vector<ListedWord> all = [] {
    std::vector<ListedWord> words;
    std::size_t line = 0;
    for (const std::vector<std::string>& row : text_rows(*reference_table("treatment-words.csv"))) {
      for (const std::string& word : parted_words(row[2]))
        words.push_back({row[0], row[1], word, line});
      ++line;
    }
    std::stable_sort(words.begin(), words.end(), [](const ListedWord& a, const ListedWord& b) {
      return a.word.size() > b.word.size();
    });
    return words;
  }();
  return all;
}

std::string trimmed(std::string_view text) {
  const std::size_t first = text.find_first_not_of(" \t\n");
  if (first == std::string_view::npos) return {};
  return std::string(text.substr(first, text.find_last_not_of(" \t\n") - first + 1));
}

/// What a person lists: parted by commas, semicolons and 'and'.
std::vector<std::string> listed_parts(std::string_view text) {
  std::vector<std::string> parts;
  std::string rest(text);
  for (std::size_t at; (at = find_whole_word(small_letters(rest), "and")) != std::string::npos;)
    rest.replace(at, 3, ";");
  for (char& c : rest)
    if (c == ',' || c == '\n') c = ';';
  for (const std::string& part : parted_words(rest, ';'))
    if (!trimmed(part).empty()) parts.push_back(trimmed(part));
  return parts;
}

/// "no", "not", "without" right before the place.
bool is_denied(std::string_view small, std::size_t at) {
  for (const std::string_view word : {"no ", "not ", "without "})
    if (at >= word.size() && small.substr(at - word.size(), word.size()) == word &&
        (at == word.size() || small[at - word.size() - 1] == ' '))
      return true;
  return false;
}

/// Of one part: every kind that its words name, each word taken once.
std::vector<const ListedWord*> kinds_in(std::string_view word_class, std::string small) {
  std::vector<const ListedWord*> found;
  for (const ListedWord& one : listed_words()) {
    if (one.word_class != word_class) continue;
    const std::size_t at = find_whole_word(small, one.word);
    if (at == std::string::npos) continue;
    const bool denied = is_denied(small, at);
    // One liquid may be of two kinds, as water with calcium is.
    if (word_class != "liquid") small.replace(at, one.word.size(), one.word.size(), ' ');
    const bool known = std::any_of(found.begin(), found.end(), [&](const ListedWord* other) {
      return other->kind == one.kind;
    });
    if (!denied && !known) found.push_back(&one);
  }
  std::sort(found.begin(), found.end(),
            [](const ListedWord* a, const ListedWord* b) { return a->line < b->line; });
  return found;
}

struct CautionRule {
  std::string name;
  std::vector<std::string> acts, uses, adhesives, liquids, near, colorants, marks;
  bool bars = false;
  std::string words, source;
};

const std::vector<CautionRule>& caution_rules() {
  static const std::vector<CautionRule> all = [] {
    std::vector<CautionRule> rules;
    for (const std::vector<std::string>& row : text_rows(*reference_table("cautions.csv")))
      rules.push_back({row[0], parted_words(row[1]), parted_words(row[2]), parted_words(row[3]),
                       parted_words(row[4]), parted_words(row[5]), parted_words(row[6]),
                       parted_words(row[7]), row[8] == "yes", row[9], row[10]});
    return rules;
  }();
  return all;
}

bool holds(const std::vector<std::string>& any_of, std::string_view one) {
  return any_of.empty() || std::find(any_of.begin(), any_of.end(), one) != any_of.end();
}

/// What the words of a case come to.
class Understood {
 public:
  explicit Understood(const CautionCase& about) : about_(about) {
    put_near();
    put_adhesive();
    for (const ColorantUsed& colorant : about.colorants)
      binders_.push_back(recognised("binder", colorant.medium));
  }

  /// The line as a caution; nothing where it does not hold.
  bool take(const CautionRule& rule, std::vector<Caution>& to) const {
    const bool acts = std::any_of(about_.acts.begin(), about_.acts.end(), [&](const auto& act) {
      return holds(rule.acts, act) && fits(rule, act);
    });
    if (!acts || !marks_hold(rule)) return false;
    std::vector<std::string> near, colorants;
    if (!rule.near.empty()) {
      for (const Recognised& thing : near_)
        if (holds(rule.near, thing.kind) && (rule.bars || !was_sound(thing)))
          add(near, thing.words);
      if (near.empty()) return false;
    }
    if (!rule.colorants.empty()) {
      for (std::size_t i = 0; i < binders_.size(); ++i)
        for (const Recognised& binder : binders_[i])
          if (holds(rule.colorants, binder.kind)) add(colorants, about_.colorants[i].name);
      if (colorants.empty()) return false;
    }
    std::string words = rule.words;
    put(words, "{near}", listed(near));
    put(words, "{colorants}", listed(colorants));
    put(words, "{adhesive}", about_.adhesive);
    to.push_back({rule.name, std::move(words), rule.source, rule.bars, {}});
    return true;
  }

  const std::vector<Recognised>& near() const { return near_; }

  /// Tested with that kind of liquid, and either sound or not.
  bool was_decided(const Recognised& thing, const std::string& liquid) const {
    return std::any_of(about_.tested.begin(), about_.tested.end(), [&](const SpotTested& test) {
      return test.outcome != "unsure" && is_of(test, thing) && is_with(test, liquid);
    });
  }
  bool was_tested_for_iron(const Recognised& thing) const {
    return std::any_of(about_.tested.begin(), about_.tested.end(), [&](const SpotTested& test) {
      const std::string liquid = small_letters(test.liquid);
      return test.outcome != "unsure" && is_of(test, thing) &&
             (liquid.find("iron") != std::string::npos ||
              liquid.find("bathophenanthroline") != std::string::npos);
    });
  }

  /// The kinds of liquid of an act.
  std::set<std::string> liquids(std::string_view act) const {
    std::set<std::string> found;
    for (const ListedWord* word : kinds_in("liquid", small_letters(about_.liquid)))
      found.insert(word->kind);
    if (act == "tone" || act == "attach") {
      for (const ListedWord* word : kinds_in("liquid", small_letters(about_.adhesive)))
        found.insert(word->kind);
      if (found.empty() && adhesive_ == "solvent-set") return {"solvent"};
      if (found.empty() && (adhesive_ == "heat-set" || adhesive_ == "held dry")) return {"none"};
    }
    if (found.empty()) return {"water"};
    return found;
  }

 private:
  static void add(std::vector<std::string>& to, const std::string& words) {
    if (std::find(to.begin(), to.end(), words) == to.end()) to.push_back(words);
  }

  static void put(std::string& words, std::string_view mark, const std::string& what) {
    for (std::size_t at; (at = words.find(mark)) != std::string::npos;)
      words.replace(at, mark.size(), what.empty() ? std::string("it") : what);
  }

  void put_near() {
    near_ = recognised("medium", about_.media);
    if (!about_.stamps.empty())
      for (Recognised& stamp : recognised("medium", about_.stamps)) {
        // What stands in this column is a stamp or an inscription, whatever it is called.
        if (stamp.kind == unknown) stamp.kind = "stamp ink";
        near_.push_back(std::move(stamp));
      }
    for (Recognised& size : recognised("sizing", about_.sizing))
      if (size.kind != not_stated && size.kind != unknown) near_.push_back(std::move(size));
    std::erase_if(near_, [](const Recognised& thing) { return thing.kind == "none"; });
  }

  /// The kind that needs the most care last: a remoistenable tissue that holds paste is no wet
  /// paste.
  void put_adhesive() {
    if (trimmed(about_.adhesive).empty()) return;
    const auto kinds = kinds_in("adhesive", small_letters(about_.adhesive));
    adhesive_ = kinds.empty() ? unknown : kinds.front()->kind;
  }

  bool fits(const CautionRule& rule, const std::string& act) const {
    const bool placed = act == "tone" || act == "attach";
    if (placed && !holds(rule.adhesives, adhesive_)) return false;
    if (!holds(rule.uses, name_of(about_.use))) return false;
    if (rule.liquids.empty()) return true;
    const std::set<std::string> wet = liquids(act);
    return std::any_of(wet.begin(), wet.end(),
                       [&](const std::string& liquid) { return holds(rule.liquids, liquid); });
  }

  bool marks_hold(const CautionRule& rule) const {
    return std::all_of(rule.marks.begin(), rule.marks.end(), [&](const std::string& mark) {
      return mark.front() == '!' ? about_.marks.count(mark.substr(1)) == 0
                                 : about_.marks.count(mark) > 0;
    });
  }

  /// Tested with what is to be used, and unchanged.
  bool was_sound(const Recognised& thing) const {
    std::set<std::string> wet;
    for (const std::string& act : about_.acts) wet.merge(liquids(act));
    wet.erase("alkaline");
    for (const std::string& liquid : wet)
      if (std::none_of(about_.tested.begin(), about_.tested.end(), [&](const SpotTested& test) {
            return test.outcome == "unchanged" && is_of(test, thing) && is_with(test, liquid);
          }))
        return false;
    return true;
  }

  static bool is_of(const SpotTested& test, const Recognised& thing) {
    if (small_letters(test.tested) == small_letters(thing.words)) return true;
    for (const char* word_class : {"medium", "sizing"})
      for (const Recognised& one : recognised(word_class, test.tested))
        if (one.kind == thing.kind && one.kind != unknown) return true;
    return thing.kind.find("size") != std::string::npos && small_letters(test.tested) == "size";
  }

  static bool is_with(const SpotTested& test, const std::string& liquid) {
    const auto kinds = kinds_in("liquid", small_letters(test.liquid));
    return std::any_of(kinds.begin(), kinds.end(),
                       [&](const ListedWord* word) { return word->kind == liquid; });
  }

  const CautionCase& about_;
  std::vector<Recognised> near_;
  std::string adhesive_ = not_stated;
  std::vector<std::vector<Recognised>> binders_;
};

bool touches_the_object(const std::string& act) {
  return act == "attach" || act == "film" || act == "wash";
}

/// What spot tests of this sheet forbid with the liquids of this step.
void put_spot_tests(const CautionCase& about, const Understood& understood,
                    std::vector<Caution>& to) {
  for (const SpotTested& test : about.tested) {
    if (test.outcome == "unchanged") continue;
    const auto kinds = kinds_in("liquid", small_letters(test.liquid));
    const bool meets = std::any_of(about.acts.begin(), about.acts.end(), [&](const auto& act) {
      const std::set<std::string> wet = understood.liquids(act);
      return touches_the_object(act) &&
             (kinds.empty() || std::any_of(kinds.begin(), kinds.end(), [&](const ListedWord* word) {
                return wet.count(word->kind) > 0;
              }));
    });
    if (!meets) continue;
    const std::string name = "spot test of " + test.tested + " with " + test.liquid;
    if (test.outcome == "changed")
      to.push_back({name,
                    "a spot test showed that " + test.tested + " changes with " + test.liquid +
                        ": keep it away from there",
                    practice,
                    true,
                    {}});
    else
      to.push_back({name,
                    "a spot test of " + test.tested + " with " + test.liquid +
                        " left it unsure: test it again",
                    practice,
                    false,
                    {}});
  }
}

void put_colorant(const ColorantUsed& colorant, const std::vector<Recognised>& near,
                  std::vector<Caution>& to) {
  const std::vector<KnownPigment> known =
      known_of_colorant(colorant.colour_index, colorant.name + " " + colorant.medium);
  if (known.empty())
    to.push_back({"no Colour Index name",
                  colorant.name +
                      ": no Colour Index name is given, so nothing is known here of its "
                      "stability; see its label and data sheet",
                  practice,
                  false,
                  {}});
  for (const KnownPigment& one : known) {
    const std::string name =
        colorant.name + (one.colour_index.empty() ? "" : " (" + one.colour_index + ")");
    if (!one.fact) {
      to.push_back({"not in the list of colorants",
                    name + ": not in the list of facts; see its label and data sheet",
                    practice,
                    false,
                    {}});
      continue;
    }
    const ColorantFact& fact = *one.fact;
    std::string words = name + ": " + fact.group + "; " + fact.fact;
    if (fact.group == "toxic")
      words +=
          ". Toxic: choose another; where it must be handled, as safety data sheets, local codes "
          "and qualified practice say";
    to.push_back({"colorant " + fact.group, std::move(words), fact.source, false, {}});
    for (const Recognised& thing : near)
      if (!fact.not_near.empty() && holds(fact.not_near, thing.kind))
        to.push_back({one.colour_index + " near " + thing.kind,
                      name + " must not lie near " + thing.words + ": " + fact.fact,
                      fact.source,
                      true,
                      {}});
  }
}

/// Colorants of one recipe that harm each other, each pair once.
void put_pairs(const std::vector<ColorantUsed>& colorants, std::vector<Caution>& to) {
  const auto base = [](const std::string& name) { return name.substr(0, name.find(':')); };
  for (std::size_t i = 0; i < colorants.size(); ++i)
    for (std::size_t j = 0; j < colorants.size(); ++j)
      for (const KnownPigment& one :
           known_of_colorant(colorants[i].colour_index, colorants[i].name))
        for (const std::string& other : colour_index_names(colorants[j].colour_index)) {
          if (!one.fact || one.fact->harms.empty() || !holds(one.fact->harms, base(other)))
            continue;
          const auto [first, second] = std::minmax({base(one.colour_index), base(other)});
          const std::string name = first + " with " + second;
          if (std::none_of(to.begin(), to.end(), [&](const Caution& c) { return c.name == name; }))
            to.push_back({name,
                          colorants[i].name + " and " + colorants[j].name +
                              " harm each other: " + one.fact->fact,
                          one.fact->source,
                          true,
                          {}});
        }
}

}  // namespace

std::vector<Recognised> recognised(std::string_view word_class, std::string_view text) {
  const std::vector<std::string> parts = listed_parts(text);
  if (parts.empty()) return {{not_stated, std::string(trimmed(text))}};
  std::vector<Recognised> found;
  for (const std::string& part : parts) {
    const std::string small = small_letters(part);
    const auto kinds = kinds_in(word_class, small);
    for (const ListedWord* word : kinds) found.push_back({word->kind, part});
    const bool denied =
        small.starts_with("no ") || small.starts_with("not ") || small.starts_with("without ");
    if (kinds.empty() && !denied) found.push_back({unknown, part});
  }
  return found;
}

std::vector<Caution> cautions_for(const CautionCase& about) {
  const Understood understood(about);
  std::vector<Caution> found;
  for (const CautionRule& rule : caution_rules()) understood.take(rule, found);
  put_spot_tests(about, understood, found);
  for (const ColorantUsed& colorant : about.colorants)
    put_colorant(colorant, understood.near(), found);
  put_pairs(about.colorants, found);
  for (Caution& caution : found)
    if (caution.bars)
      for (const BarLifted& lifted : about.lifted)
        if (small_letters(trimmed(lifted.name)) == small_letters(caution.name) &&
            !trimmed(lifted.reason).empty())
          caution.lifted_because = trimmed(lifted.reason);
  std::stable_partition(found.begin(), found.end(), [](const Caution& caution) {
    return caution.bars && caution.lifted_because.empty();
  });
  return found;
}

std::vector<OwedTest> tests_owed(const CautionCase& about) {
  const Understood understood(about);
  std::set<std::string> wet;
  for (const std::string& act : about.acts) wet.merge(understood.liquids(act));
  std::vector<OwedTest> owed;
  const auto add = [&](std::string name, std::string why) {
    if (std::none_of(owed.begin(), owed.end(),
                     [&](const OwedTest& one) { return one.name == name; }))
      owed.push_back({std::move(name), std::move(why)});
  };
  for (const Recognised& thing : understood.near()) {
    if (thing.kind == not_stated) continue;
    if (thing.kind == "iron-gall ink") {
      if (!understood.was_tested_for_iron(thing))
        add("iron(II) test of " + thing.words,
            "iron(II) test paper shows what a spot test by eye cannot");
      continue;
    }
    for (const std::string liquid : {"water", "solvent"})
      if (wet.count(liquid) > 0 && !understood.was_decided(thing, liquid))
        add("spot test of " + thing.words + " with " + liquid,
            "test it on the least visible spot, and keep what came of it");
  }
  return owed;
}

std::string text_of(const Caution& caution) {
  std::string text = caution.words;
  if (caution.bars && caution.lifted_because.empty())
    text = "Barred: " + text + ". Your own reason lifts it: keep the step '" + caution.name +
           "' as allowed, with the reason";
  else if (caution.bars)
    text = "Barred by the list, allowed by you (" + caution.lifted_because + "): " + text;
  if (caution.source != practice) text += " [" + caution.source + "]";
  return text;
}

}  // namespace mendtone
