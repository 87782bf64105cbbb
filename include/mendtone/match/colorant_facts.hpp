#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace mendtone {

/// What is known of a colorant by its Colour Index name, and where that comes from.
struct ColorantFact {
  std::string colour_index;  ///< empty: of what only its own name tells, such as a plant dye
  std::vector<std::string> called;
  std::string group;  ///< preferred, usable, flag, caution, avoid or toxic
  std::string name, fact;
  std::vector<std::string> not_near;  ///< media that it must not lie near
  std::vector<std::string> harms;     ///< Colour Index names that it must not be mixed with
  std::string source;
};

/// Every line of reference-data/colorant-facts.csv.
const std::vector<ColorantFact>& colorant_facts();

/// The Colour Index names in a text, as they are written in the list ("PY35:1"), whatever their
/// case and blanks ("py 35:1", "Pigment Yellow 35:1"). What is no such name is left out.
std::vector<std::string> colour_index_names(std::string_view text);

/// The line of one Colour Index name; of a sub-form that has no line of its own, its pigment's.
/// Where a pigment has several lines, the words in the colorant's own name pick one.
std::optional<ColorantFact> colorant_fact(std::string_view colour_index,
                                          std::string_view called = {});

/// One pigment of a colorant: its Colour Index name, and its line where the list has one.
struct KnownPigment {
  std::string colour_index;
  std::optional<ColorantFact> fact;
};
/// Everything known of a colorant: by each of its Colour Index names, and by its own name.
std::vector<KnownPigment> known_of_colorant(std::string_view colour_index, std::string_view called);

/// What is wrong with a text that should be Colour Index names, parted by commas, blanks or '+':
/// generic ones (PY43, NR4, PB15:3) or constitution numbers (77491, CI 77491). Empty: nothing.
std::string fault_of_colour_index(std::string_view text);

}  // namespace mendtone
