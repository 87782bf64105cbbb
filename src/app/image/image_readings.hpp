#pragma once
#include "mendtone/app/tone/tone.hpp"

namespace mendtone::app {

/// Readings as a photograph can be held against: recomputed from their spectra under D50, 2
/// degrees; Lab alone only where it is bound to that. Refuses (exit 3) when none can be given.
Result<ToneAnswer> tones_under_d50(const results::Sources& sources,
                                   const InputPlace& place);

}  // namespace mendtone::app
