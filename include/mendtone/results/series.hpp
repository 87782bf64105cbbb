#pragma once
#include "mendtone/results/difference.hpp"

namespace mendtone::results {

struct SpotSeriesRequest {
  std::string sheet, spot;
  ViewingRequest viewing;  ///< one light; none named: D65
};
void fields(Describe&, SpotSeriesRequest&);

/// One stage of a spot, against its first readings.
struct SpotStage {
  std::string stage;
  Lab lab;
  std::size_t n = 0;  ///< readings
  double de00 = 0;    ///< from the first stage
  SignedDifference parts;
  // Of every stage but the first.
  std::optional<std::array<double, 2>> interval95;
  std::optional<double> u95;
  std::optional<Verdict> verdict;
};
void fields(Describe&, SpotStage&);

struct SpotSeriesAnswer {
  std::string sheet, spot;
  std::vector<LightNamed> lights;
  int observer_deg = 10;
  double tolerance_de00 = 0;
  std::string tolerance_origin;
  double reproducibility_de00 = 0;
  std::vector<SpotStage> stages;     ///< in the order in which they were first entered
  std::vector<std::string> refused;  ///< stages that could not be compared, and why
};
void fields(Describe&, SpotSeriesAnswer&);

}  // namespace mendtone::results
