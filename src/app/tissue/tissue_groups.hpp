#pragma once
#include "mendtone/results/tissue.hpp"

namespace mendtone::app {

/// A difference smaller than this has no word anywhere, and no observer tells it (maintainers'
/// figure: a third of the difference that half of observers notice).
inline constexpr double least_told_apart_de00 = 0.3;

/// What cannot do the job, or was read too long ago: it stands behind all others, whatever its colour.
bool stands_apart(const results::TissueCandidate& candidate);

/// What nobody could tell from the leader under any light forms a group with it; the rest likewise
/// from their own leader. The one definition of such groups. `reading_u95_de00`: how far two readings
/// of one thing differ by chance (95 %); where that is more, it takes the place of the limit.
///
/// A tear's candidates stand group by group, the lightest first; within a group of a loss or a lining, the
/// nearest to the sheet's weight first.
void put_groups(results::TissueAnswer& answer, double reading_u95_de00);

}  // namespace mendtone::app
