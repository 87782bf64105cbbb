#pragma once
#include <optional>
#include <string>
#include <vector>

#include "mendtone/app/inputs/inputs.hpp"
#include "mendtone/base/result.hpp"
#include "mendtone/colour/lab.hpp"
#include "mendtone/imaging/ground.hpp"

namespace mendtone::app {

/// A candidate or a recipe as a preview needs it.
struct RankedFill {
  std::string name;
  Lab lab, sheet;  ///< adapted from the viewing light to D50
  std::optional<double> overlap_de00;
  std::optional<Lab> overlap_shift;  ///< what the overlap margin adds to the sheet
};

struct RankedFills {
  std::string light;
  int observer_deg = 10;
  std::vector<RankedFill> fills;
};

/// From the JSON of `tissue` or `wash`, under `light` (empty: the first that it names). Refuses
/// other JSON, and a light that it does not hold.
Result<RankedFills> read_fills(const std::string& path, const std::string& light,
                               const InputPlace& place);

/// Cameras are some 3 DeltaE00 off (maintainers' figure); more is another paper, or no paper.
inline constexpr double another_paper_de00 = 5;

/// The paper around a loss. It is looked for at the sheet's read tone, where that is known, so that
/// what lies beyond the sheet's edge is not taken for paper; warns where there is none of that
/// tone, or where the paper found is not of it.
Result<GroundAnalysis> paper_around(RowReader& rows, const Region& ring, GroundOptions options,
                                    const std::optional<Lab>& read,
                                    std::vector<std::string>& warnings);

}  // namespace mendtone::app
