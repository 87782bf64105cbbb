#pragma once
#include "mendtone/app/tone/difference.hpp"
#include "mendtone/results/series.hpp"

namespace mendtone::app {

using results::SpotSeriesAnswer;
using results::SpotSeriesRequest;
using results::SpotStage;

/// A spot of the record at `place` from stage to stage. The uncertainty is that of the readings and
/// of the instruments that they were made with. Refuses a spot without readings.
Result<SpotSeriesAnswer> spot_series(const SpotSeriesRequest& request, const InputPlace& place = {});

/// False where the spot was read at one stage only.
inline bool has_answer(const SpotSeriesAnswer& answer) {
  return answer.stages.size() > 1;
}

}  // namespace mendtone::app
