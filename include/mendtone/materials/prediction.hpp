#pragma once
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "mendtone/colour/weights.hpp"
#include "mendtone/materials/palette.hpp"

namespace mendtone {

/// The CIEDE2000 within which a swatch made with these loads will read, 95 times in 100: from what
/// the calibration leaves open, the spread of loads and pick-up, and its error on held-out
/// swatches. `pick_up_sd`: relative spread of the pick-up, where it was measured; else the one
/// that the calibration's readings show. Sizes and `below` as in `reflectance`.
/// Ref: jcgm100
double u95_de00(const Palette& palette, std::span<const double> loads, int plies,
                std::span<const double> below, const TristimulusWeights& weights,
                std::optional<double> pick_up_sd = std::nullopt);

/// What is unusual about these loads, in words: outside the range that was read, named with both.
std::vector<std::string> load_warnings(const Palette& palette, std::span<const double> loads);

/// The palette as if used on another sheet: its ply takes the place of the palette's own, and the
/// uncertainty grows by half. Contract: absorbed; same grid.
Palette on_other_sheet(Palette palette, const Ply& ply, const std::string& name);
/// The same for a film on another support. Contract: film; `support` on the palette's grid.
Palette on_other_support(Palette palette, const std::vector<double>& support,
                         const std::string& name);

}  // namespace mendtone
