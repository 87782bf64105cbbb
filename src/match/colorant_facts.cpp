#include "mendtone/match/colorant_facts.hpp"

#include <algorithm>
#include <array>

#include "mendtone/base/plain_text.hpp"
#include "mendtone/base/reference_data.hpp"
#include "mendtone/base/text_rows.hpp"

namespace mendtone {
namespace {

bool digits(std::string_view text, std::size_t least, std::size_t most) {
  return text.size() >= least && text.size() <= most &&
         std::all_of(text.begin(), text.end(), [](char c) { return c >= '0' && c <= '9'; });
}

/// "15" or "15:3".
bool is_number_with_form(std::string_view text, std::size_t least, std::size_t most) {
  const std::size_t colon = text.find(':');
  return digits(text.substr(0, colon), least, most) &&
         (colon == std::string_view::npos || digits(text.substr(colon + 1), 1, 2));
}

struct Spelt {
  std::string_view word, letters;
};
constexpr std::array<Spelt, 8> kinds{{{"pigment", "P"},
                                      {"natural", "N"},
                                      {"solvent", "S"},
                                      {"acid", "A"},
                                      {"direct", "D"},
                                      {"vat", "V"},
                                      {"basic", "B"},
                                      {"food", "F"}}};
constexpr std::array<Spelt, 10> hues{{{"brown", "Br"},
                                      {"black", "Bk"},
                                      {"yellow", "Y"},
                                      {"orange", "O"},
                                      {"red", "R"},
                                      {"violet", "V"},
                                      {"blue", "B"},
                                      {"green", "G"},
                                      {"white", "W"},
                                      {"metal", "M"}}};

/// "py", "pigment yellow" without its blank, as "PY"; empty: neither.
std::string kind_and_hue(std::string_view small) {
  for (const Spelt& kind : kinds)
    for (const Spelt& hue : hues)
      if (small == small_letters(kind.letters) + small_letters(hue.letters) ||
          small == std::string(kind.word) + std::string(hue.word))
        return std::string(kind.letters) + std::string(hue.letters);
  return {};
}

/// A kind of dye or pigment, a hue, a number, and sometimes a form: PB15:3; or a constitution
/// number.
std::string one_name(std::string_view small) {
  if (is_number_with_form(small, 5, 6)) return std::string(small);
  const std::size_t number = small.find_first_of("0123456789");
  if (number == std::string_view::npos || number == 0) return {};
  const std::string letters = kind_and_hue(small.substr(0, number));
  if (letters.empty() || !is_number_with_form(small.substr(number), 1, 3)) return {};
  return letters + std::string(small.substr(number));
}

struct Names {
  std::vector<std::string> found;
  std::string fault;  ///< the first part that is no name
};

/// Parts that stand apart may be one name: "PY 35", "Pigment Yellow 35".
Names names_in_text(std::string_view text) {
  std::vector<std::string> parts, written;
  for (std::size_t from = 0; from < text.size();) {
    const std::size_t start = text.find_first_not_of(", +/;\t", from);
    if (start == std::string_view::npos) break;
    const std::size_t end = std::min(text.find_first_of(", +/;\t", start), text.size());
    written.emplace_back(text.substr(start, end - start));
    parts.push_back(small_letters(written.back()));
    from = end;
  }
  Names names;
  for (std::size_t i = 0; i < parts.size();) {
    if (parts[i] == "ci" || parts[i] == "c.i.") {
      ++i;
      continue;
    }
    std::string joined, name;
    std::size_t used = 0;
    for (std::size_t n = 1; n <= 3 && i + n <= parts.size() && name.empty(); ++n) {
      joined += parts[i + n - 1];
      name = one_name(joined);
      used = n;
    }
    if (name.empty()) {
      if (names.fault.empty()) names.fault = written[i];
      used = 1;
    } else {
      names.found.push_back(name);
    }
    i += used;
  }
  return names;
}

std::string without_form(std::string_view name) {
  return std::string(name.substr(0, name.find(':')));
}

bool is_called(const ColorantFact& fact, std::string_view small_name) {
  return std::any_of(fact.called.begin(), fact.called.end(), [&](const std::string& word) {
    return find_whole_word(small_name, word) != std::string_view::npos;
  });
}

/// The line of that very name that the colorant's own name picks, else the one that asks for none.
const ColorantFact* line_of(std::string_view name, std::string_view small_called) {
  const ColorantFact* plain = nullptr;
  for (const ColorantFact& fact : colorant_facts()) {
    if (fact.colour_index != name) continue;
    if (fact.called.empty())
      plain = &fact;
    else if (is_called(fact, small_called))
      return &fact;
  }
  return plain;
}

}  // namespace

std::string fault_of_colour_index(std::string_view text) {
  const Names names = names_in_text(text);
  if (!names.fault.empty())
    return "expected a Colour Index name such as PY43, PB15:3 or 77491, found '" + names.fault +
           "'";
  return names.found.empty() ? "expected a Colour Index name such as PY43, found none" : "";
}

std::vector<std::string> colour_index_names(std::string_view text) {
  return names_in_text(text).found;
}

const std::vector<ColorantFact>& colorant_facts() {
  static const std::vector<ColorantFact> all = [] {
    std::vector<ColorantFact> facts;
    for (const std::vector<std::string>& row : text_rows(*reference_table("colorant-facts.csv")))
      facts.push_back({row[0], parted_words(row[1]), row[2], row[3], row[4], parted_words(row[5]),
                       parted_words(row[6]), row[7]});
    return facts;
  }();
  return all;
}

std::optional<ColorantFact> colorant_fact(std::string_view colour_index, std::string_view called) {
  const std::vector<std::string> names = colour_index_names(colour_index);
  if (names.empty()) return std::nullopt;
  const std::string small = small_letters(called);
  const ColorantFact* line = line_of(names.front(), small);
  if (line == nullptr) line = line_of(without_form(names.front()), small);
  return line == nullptr ? std::nullopt : std::optional(*line);
}

std::vector<KnownPigment> known_of_colorant(std::string_view colour_index,
                                            std::string_view called) {
  std::vector<KnownPigment> known;
  for (const std::string& name : colour_index_names(colour_index))
    known.push_back({name, colorant_fact(name, called)});
  const std::string small = small_letters(called);
  for (const ColorantFact& fact : colorant_facts())
    if (fact.colour_index.empty() && is_called(fact, small)) known.push_back({"", fact});
  return known;
}

}  // namespace mendtone
