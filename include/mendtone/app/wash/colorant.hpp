#pragma once
#include <string>

#include "mendtone/app/inputs/readings.hpp"
#include "mendtone/results/palette.hpp"

namespace mendtone::app {

using results::ColorantAnswer;
using results::ColorantRequest;

/// Calibrates a palette from ladders, mixtures and trials, and writes it to `out`.
/// Refuses what cannot determine it, saying what to read next.
Result<ColorantAnswer> colorant(const ColorantRequest& request, const InputPlace& place = {});

std::string to_text(const ColorantAnswer&);
inline bool has_answer(const ColorantAnswer&) {
  return true;
}

}  // namespace mendtone::app
