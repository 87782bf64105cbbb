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

}  // namespace mendtone
