#pragma once
#include <string>
#include <vector>

#include "mendtone/app/record/entered.hpp"
#include "mendtone/app/wash/wash.hpp"

// What a wash takes from the record besides readings: media, sizing, adhesive, what is excluded.
namespace mendtone::app {

/// Fills in what the request leaves open from what the record holds of the sheet and of the
/// colorants of `palette`, and says what it took. Colour Index names that the palette lacks are put
/// into it.
Result<EnteredSheet> complete_request(WashRequest& request, Palette& palette,
                                      const InputPlace& place, std::vector<std::string>& notes);

/// The same for a mixture that is only asked about: the media of its colorants, and a warning for
/// each that the record excludes.
Result<void> complete_swatch(results::Care& care, Palette& palette,
                             const std::vector<std::string>& used, const InputPlace& place,
                             std::vector<Warning>& warnings);
/// Cautions of toning with these colorants, for a mixture that is only asked about.
std::vector<std::string> swatch_cautions(const Palette& palette, const results::Care& care,
                                         const std::vector<std::string>& used);

/// What a correction has to say of colorants that the record excludes since.
Result<std::vector<Warning>> excluded_since(const Palette& palette, const std::vector<int>& used,
                                            const InputPlace& place);

/// Why so many plies of that tissue cannot do the job, by weight; empty: they can, or no weight is
/// known. Weights are those of the readings, else of the record.
Result<std::string> unfit_because(const WashState& state, std::optional<double> tissue_g_m2,
                                  std::optional<double> sheet_g_m2, const EnteredSheet& entered,
                                  const InputPlace& place);

/// For each recipe which colorant changes first in light, where the record holds a class, and which
/// recipe does; other classes in the words in which they were entered.
Result<std::vector<std::string>> light_notes(const WashRequest& request, const WashState& state,
                                             const std::vector<PlannedRecipe>& recipes,
                                             const InputPlace& place);

/// The chance that what is really laid down comes out darker than the sheet.
double darker_chance_of(const WashState& state, const PlannedRecipe& made);

/// The best `top` in the order of their objective and of the chance of coming out darker.
void put_in_order(const WashState& state, double darker_weight, std::size_t top,
                  std::vector<PlannedRecipe>& recipes);

}  // namespace mendtone::app
