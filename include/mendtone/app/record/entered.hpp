#pragma once
#include <optional>
#include <string>
#include <vector>

#include "mendtone/app/inputs/inputs.hpp"
#include "mendtone/match/cautions.hpp"
#include "mendtone/results/care.hpp"
#include "mendtone/results/common.hpp"

// What the record holds of things besides their readings. It is noted with a result's inputs, so
// that a result that is computed again sees what it saw.
namespace mendtone::app {

/// A sheet, and the loss that was asked about.
struct EnteredSheet {
  std::string sheet, loss;  ///< names; empty: nothing was found
  std::string media, stamps, sizing, adhesive;
  std::string seen_against_light;  ///< "yes", "no" or empty
  std::string lamp;                ///< measured, under which it is shown
  std::optional<double> lux_hours_year;  ///< of the lamp that it is shown under
  std::optional<double> grammage_g_m2, viewing_distance_cm;
  std::optional<double> loss_area_cm2;  ///< of the loss; of a sheet, its largest
  std::vector<SpotTested> tested;
  std::vector<BarLifted> lifted;
};

struct EnteredColorant {
  std::string name, colour_index, medium, excluded, caution;
  std::optional<int> blue_wool;
  std::string light_fastness;
};

struct EnteredTissue {
  std::string name, lot;
  std::optional<double> grammage_g_m2;
  std::string in_words;  ///< thickness, texture, grain, sheen, drape
  std::string
      last_read;  ///< when, as it was entered; of a reading without a day, when that was entered
  bool toned = false;
};

/// Nothing of a sheet that the record does not hold under `target` (see `input_bytes`).
Result<EnteredSheet> entered_sheet(const std::string& target, const std::string& reading,
                                   const InputPlace& place);
Result<std::vector<EnteredColorant>> entered_colorants(const InputPlace& place);
/// The drawer, and the day on which it was looked into.
struct EnteredTissues {
  std::vector<EnteredTissue> tissues;
  std::string today;
};
Result<EnteredTissues> entered_tissues(const InputPlace& place);

/// The observer that the viewing distance and the size of the loss suggest, and the lamp that the sheet
/// is shown under, where the request states none; `notes` say so.
void view_as_entered(results::ViewingRequest& viewing, const EnteredSheet& sheet,
                     std::vector<std::string>& notes);

/// The person's own words first; what she does not state is what the record holds.
results::Care care_with(results::Care asked, const EnteredSheet& sheet);

/// The case of a step for the cautions; its acts, colorants and marks are still to be put.
CautionCase caution_case(Use use, const results::Care& care);
/// A colorant as cautions take it: by what was asked, else by what the record holds.
ColorantUsed colorant_used(const std::string& name, const std::string& colour_index,
                           const results::Care& care, const std::vector<EnteredColorant>& entered);
/// The record's line on that colorant, whatever the case of its name; nullptr: none.
const EnteredColorant* entered_as(const std::vector<EnteredColorant>& all, const std::string& name);

/// Cautions of what is entered: an ultraviolet lamp, a solvent, an airbrush. `columns`: as kept.
std::vector<std::string> cautions_of_entry(
    const std::vector<std::pair<std::string, std::string>>& columns);

/// As they are printed, bars first.
std::vector<std::string> texts_of(const std::vector<Caution>& cautions);

}  // namespace mendtone::app
