#pragma once
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "mendtone/base/result.hpp"
#include "mendtone/materials/tissue.hpp"

namespace mendtone {

/// What the added material is for.
enum class Use { loss, tear, lining };
std::string_view name_of(Use);
std::optional<Use> use_from(std::string_view);

/// The sheet round the mend, as far as its readings tell.
struct Sheet {
  WavelengthGrid grid;
  std::vector<double> seen;  ///< reflectance of its front over the backing of use
  std::vector<Slab> body;    ///< empty: read over one backing only
  std::vector<bool> opaque;  ///< with `body`: bands where what shines through is not known
};

/// Why what shines through the sheet is not known; empty: it is.
std::string light_sheet_unknown(const Sheet& sheet);

/// The place into which added material is put, per band: what lies behind it and what lies on top.
///   loss: below = the backing;                    above = nothing
///   tear or lining, tissue behind: below = the backing; above = the sheet
///   tear, tissue in front: below = the sheet over the backing; above = nothing
struct Setting {
  WavelengthGrid grid;
  std::vector<double> below;        ///< reflectance behind the added material
  std::vector<Slab> above;          ///< empty: nothing above
  std::vector<Slab> beneath;        ///< tissue in front: the sheet itself, for the light sheet only
  std::string light_sheet_unknown;  ///< why what shines through cannot be known; empty: it can
  double gloss = 0;                 ///< what an instrument sees of the surface besides: k1 - ke
};

/// The setting of a use; `side` is where the tissue lies: Side::back or Side::front (for a loss it
/// does not matter: its overlap margin is the setting of a tear). `backing` is what lies behind
/// when the object is shown. Refuses tissue behind a sheet that was read over one backing only,
/// a lining on the front, a side that is not stated, and sizes other than the grid's.
Result<Setting> setting_for(Use use, Side side, const Sheet& sheet,
                            std::span<const double> backing);

/// Reflectance seen when `fill` (one slab per band) stands in `setting`. Refuses a fill of other
/// bands than the setting's.
Result<std::vector<double>> seen(const Setting& setting, std::span<const Slab> fill);

/// Transmittance of the mend on a light sheet: of the fill, and of the sheet where it lies on it.
/// Refuses the same, and where `setting.light_sheet_unknown` says why it is not known.
Result<std::vector<double>> shone_through(const Setting& setting, std::span<const Slab> fill);

/// Both for loops. Contract: what the others refuse.
std::vector<double> seen_unchecked(const Setting& setting, std::span<const Slab> fill);
std::vector<double> shone_through_unchecked(const Setting& setting, std::span<const Slab> fill);

}  // namespace mendtone
