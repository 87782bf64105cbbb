#pragma once
#include <initializer_list>
#include <optional>
#include <string>
#include <vector>

#include "mendtone/app/inputs/viewing.hpp"
#include "mendtone/colour/brightener.hpp"
#include "mendtone/match/setting.hpp"
#include "mendtone/materials/palette.hpp"
#include "mendtone/materials/sheet.hpp"
#include "mendtone/spectral/comparable.hpp"

// What the ranking of tissues and the search for washes alike make of readings.
namespace mendtone::app {

/// Rows of the first roles that there are any of.
std::vector<Reading> rows_of(const std::vector<Reading>& readings,
                             std::initializer_list<Role> first,
                             std::initializer_list<Role> otherwise);
/// Each name once, in the order in which they first stand.
std::vector<std::string> names_in(const std::vector<Reading>& rows);
/// The sheet to match: rows of role target, else of none, swatch or trial; of `name` where one is
/// given. Refuses several names.
Result<std::vector<Reading>> target_rows(const std::vector<Reading>& readings,
                                         const std::string& name);

/// Only what forbids comparing two different sheets: how they were measured.
Reading manner_of(const SheetReadings& sheet);
std::string manner_in_words(const SheetReadings& sheet);
/// Of one name read in several manners, the one that most of `others` may be compared with.
const SheetReadings& best_manner(const std::vector<SheetReadings>& sheets,
                                 const std::vector<SheetReadings>& others);

/// What lies behind can be a bare tissue only where it is the sheet's lining.
Error only_as_lining(const std::string& name);
Error no_backing(const std::string& name, const std::vector<std::string>& known);

/// The mean of Lab-only repeats, and how far each is from it.
BoundLab mean_lab(const std::vector<Reading>& repeats, std::vector<Lab>* deviations = nullptr);

/// Where light matters little, at the ends of the spectrum, opaque bands hide nothing that an eye
/// would see on the light sheet: false there, by what they could let through at most.
Result<bool> hides_light(const SheetBody& body, const SheetReadings& sheet);

/// A sheet over the backing of use.
struct SeenSheet {
  std::optional<Sheet> sheet;  ///< nothing: L*a*b* only
  std::optional<SheetBody> body;
  std::string why_no_body;  ///< where there is none
  std::size_t as_read = 0;  ///< without a body: the place in the sheet's `spectral`
  BoundLab lab;             ///< of a sheet without spectrum: its mean
  std::vector<Lab> lab_deviations;
  std::vector<Warning> warnings;
};

/// Why a sheet says nothing of the light sheet: its own reason where it has no body.
std::string light_sheet_why(const Sheet& sheet, const std::string& why_no_body);

/// By its body, or as it was read. Refuses a wet sheet. `over` without a reading of its own (a
/// film lies on what was read there) takes the sheet's reading over that name as it is.
Result<SeenSheet> seen_over(const SheetReadings& sheet, const Backing& over,
                            const Surfaces& surfaces, LayerModel model);

/// Whether readings of that role may be what is coloured: tissue to tone, or the fill that a film
/// lies on, which may have been a swatch or a trial.
bool may_be_coloured(bool film, Role role);
/// Rows of what is to be coloured: tissue first, then what has no role, then the rest; of `name`
/// where one is given. Refuses several names.
Result<std::vector<Reading>> coloured_rows(const std::vector<Reading>& readings,
                                           const std::string& name, bool film);

/// What lies behind a wash: as read, or as it was read with the calibration, or a nominal one. With
/// `lining`, bare tissues stand among the names to choose from.
Result<Backing> behind_wash(const std::string& name, const Backings& backings,
                            const Palette& palette, bool lining);
std::vector<Warning> warnings_of(const Backing& behind);

/// What lies behind the fill that a film lies on: `name`, or, where none is given, the one thing
/// that the fill was read over. Where the fill was read over it, its own reading is not needed.
Result<Backing> behind_fill(const SheetReadings& fill, std::string name, const Backings& backings,
                            const WavelengthGrid& grid);
/// The fill's own reflectance over that.
Result<std::vector<double>> fill_over(const SheetReadings& fill, const Backing& behind);

/// What M1 against M2 shows of a brightener, flagged ones alone.
Result<std::vector<Brightener>> flagged_brighteners(const std::vector<Reading>& readings);
Warning warning_of(const Brightener& found);
/// Why a colour is not predictable, in one word for every answer's `not_predictable`.
inline constexpr const char* brightener_was_found = "a brightener was found";
inline constexpr const char* not_predictable_through =
    "a brightener was found: under any light but D50 its colour is not predictable";
/// The light whose colours a reading with a brightener still tells.
inline bool is_readings_light(const std::string& light) {
  return light == "D50";
}
/// With a brightener: D50 comes first, so that nothing is decided under a light that cannot be
/// predicted. True where that changed the viewing light.
bool view_under_readings_light(Viewing& viewing);

}  // namespace mendtone::app
