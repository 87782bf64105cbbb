#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace mendtone {

/// What is known of a colorant by its Colour Index name, and where that comes from.
struct ColorantFact {
  std::string colour_index;
  std::string group;  ///< preferred, usable, flag, caution, avoid or toxic
  std::string name, fact, source;
};

/// Nothing where the name is not in reference-data/colorant-facts.csv.
std::optional<ColorantFact> colorant_fact(std::string_view colour_index);
std::vector<ColorantFact> colorant_facts();

/// What is wrong with a text that should be Colour Index names, parted by commas, blanks or '+':
/// generic ones (PY43, NR4, PB15:3) or constitution numbers (77491, CI 77491). Empty: nothing.
std::string fault_of_colour_index(std::string_view text);

}  // namespace mendtone
