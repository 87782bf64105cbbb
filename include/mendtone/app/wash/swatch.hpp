#pragma once
#include <string>

#include "mendtone/app/inputs/readings.hpp"
#include "mendtone/app/inputs/viewing.hpp"
#include "mendtone/results/palette.hpp"

namespace mendtone::app {

using results::PredictedSwatch;
using results::SwatchAnswer;
using results::SwatchColour;
using results::SwatchRequest;

/// Predicts each mixture, over the backing, with its uncertainty. Refuses a colorant that the
/// palette does not hold and a load below 0, naming both.
Result<SwatchAnswer> swatch(const SwatchRequest& request, const InputPlace& place = {});

std::string to_text(const SwatchAnswer&);
inline bool has_answer(const SwatchAnswer&) {
  return true;
}

}  // namespace mendtone::app
