#pragma once
#include <string>
#include <utility>
#include <vector>

#include "mendtone/match/cautions.hpp"
#include "mendtone/results/describe.hpp"

namespace mendtone {

void fields(results::Describe&, SpotTested&);

}  // namespace mendtone

namespace mendtone::results {

/// What cautions depend on besides the colour, in the person's words; what is empty is not stated.
struct Care {
  std::string media, stamps, sizing;  ///< of the sheet, near the place; "none": there are none
  std::string adhesive, liquid;
  std::vector<std::pair<std::string, std::string>> colorant_media;  ///< colorant, what binds it
  std::vector<std::pair<std::string, std::string>> allowed;  ///< bar, the reason that lifts it
  std::vector<SpotTested> tested;
};
void fields(Describe&, Care&);

}  // namespace mendtone::results
