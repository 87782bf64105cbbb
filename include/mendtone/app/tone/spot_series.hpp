#pragma once
#include <string>
#include <vector>

#include "mendtone/app/tone/difference.hpp"

namespace mendtone::app {

struct SpotSeriesRequest {
  std::string record, sheet, spot;
  ViewingRequest viewing;  ///< one light; none named: D65
};

/// One stage of a spot, against its first readings.
struct SpotStage {
  std::string stage;
  Lab lab;
  std::size_t n = 0;           ///< readings
  std::optional<Pair> change;  ///< nothing for the first stage
};

struct SpotSeriesAnswer {
  std::string sheet, spot;
  std::vector<std::string> lights;
  int observer_deg = 10;
  ChangeSettings settings;
  std::vector<SpotStage> stages;     ///< in the order in which they were first entered
  std::vector<std::string> refused;  ///< stages that could not be compared, and why
};

/// A spot from stage to stage. The uncertainty is that of the readings and of the instruments that
/// they were made with. Refuses a spot without readings.
Result<SpotSeriesAnswer> spot_series(const SpotSeriesRequest& request);

std::string to_json(const SpotSeriesAnswer&);
/// False where the spot was read at one stage only.
inline bool has_answer(const SpotSeriesAnswer& answer) {
  return answer.stages.size() > 1;
}

}  // namespace mendtone::app
