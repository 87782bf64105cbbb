#pragma once
#include "mendtone/adapters/picture_program.hpp"
#include "mendtone/base/result.hpp"
#include "mendtone/imaging/pixels.hpp"
#include "mendtone/imaging/registration.hpp"

namespace mendtone {

/// Finds how `after` lies on `before` from the pictures themselves: phase correlation for the
/// shift, the enhanced correlation coefficient for turn and scale on a reduced picture, then phase
/// correlation block by block at full size, whose shifts are the point pairs of
/// `register_robustly`. Meant for two photographs of one sheet that differ by a few degrees and a
/// few per cent; refuses with the reason where fewer than twelve blocks agree.
/// Ref: evangelidis2008
Result<Registration> align(RowReader& before, RowReader& after, Alignment alignment);

}  // namespace mendtone
