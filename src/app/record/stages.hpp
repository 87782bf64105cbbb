#pragma once
#include <string>
#include <vector>

#include "app/record/record_lookup.hpp"

namespace mendtone::app {

/// Of the readings of a loss, a spot or a sheet, those of one stage: of each place the latest. What
/// a reading of the object is matched to is never a mean over stages.
struct OneStage {
  KeptReadings readings;
  std::vector<std::string> notes;  ///< which stage was taken of which
};
OneStage of_latest_stage(KeptReadings readings);
/// Of the readings of a tissue that was read years apart, those of its last session, with its drift.
OneStage of_latest_years(KeptReadings readings);
/// What a name stands for, of one stage; "NAME@STAGE" says which.
Result<OneStage> readings_of_one_stage(const record::Store& store, const std::string& name);

/// The baths that the sheet had after these readings, in words that say what to do; empty: none.
Result<std::string> washed_since(const record::Store& store, const KeptReadings& readings);

}  // namespace mendtone::app
