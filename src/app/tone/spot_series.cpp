#include "mendtone/app/tone/spot_series.hpp"

#include <algorithm>

#include "app/record/record_lookup.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/app/tone/tone.hpp"

namespace mendtone::app {
namespace {

/// The readings of one spot at one stage, as one name.
struct StageReadings {
  std::string stage;
  ReadFile file;
};

struct SpotReadings {
  std::vector<StageReadings> stages;
  ChangeSettings settings;
};

ReadFile& stage_of(std::vector<StageReadings>& stages, const std::string& name) {
  const auto found = std::find_if(stages.begin(), stages.end(),
                                  [&](const StageReadings& stage) { return stage.stage == name; });
  return found == stages.end() ? stages.emplace_back(StageReadings{name, {}}).file : found->file;
}

/// What the instrument is good for from one session to the next, as its maker states it.
Result<void> add_instrument(const record::Store& store, record::Link instrument,
                            ChangeSettings& settings) {
  if (!instrument) return {};
  auto kept = record::get<record::Instrument>(store, *instrument);
  if (!kept) return kept.error();
  settings.reproducibility_de00 =
      std::max(settings.reproducibility_de00, kept->value.reproducibility_de00.value_or(0));
  return {};
}

Result<SpotReadings> readings_of(const SpotSeriesRequest& request, const InputPlace& place) {
  auto store = open_record(place.record, Opening::must_exist);
  if (!store) return store.error();
  auto sheet = find_thing(**store, "sheet", request.sheet);
  if (!sheet) return sheet.error();
  auto spot = find_thing(**store, "spot", request.spot, *sheet);
  if (!spot) return spot.error();
  auto kept =
      record::current<record::KeptReading>(**store, {{{"spot", record::Cell{*spot}}}, false});
  if (!kept) return kept.error();
  SpotReadings readings;
  for (auto& one : *kept) {
    Reading reading = one.value.reading;
    reading.name = request.spot;
    const std::string& stage = one.value.stage;
    stage_of(readings.stages, stage.empty() ? "stage not stated" : stage)
        .readings.push_back(std::move(reading));
    if (auto done = add_instrument(**store, one.value.instrument, readings.settings); !done)
      return done.error();
  }
  if (readings.stages.empty())
    return bad_input("this spot was not read yet", request.sheet + "/" + request.spot);
  return readings;
}

}  // namespace

Result<SpotSeriesAnswer> spot_series(const SpotSeriesRequest& request, const InputPlace& place) {
  auto seen = viewing(request.viewing, {"D65"}, place);
  if (!seen) return seen.error();
  auto readings = readings_of(request, place);
  if (!readings) return readings.error();
  const StageReadings& first = readings->stages.front();
  auto tone = tone_of(first.file, *seen, false);
  if (!tone) return tone.error();
  const ChangeSettings& settings = readings->settings;
  SpotSeriesAnswer answer{request.sheet,
                          request.spot,
                          tone->lights,
                          tone->observer_deg,
                          settings.tolerance_de00,
                          tolerance_origin(settings),
                          settings.reproducibility_de00,
                          {},
                          {}};
  const Tone& start = tone->tones.front();
  answer.stages.push_back({first.stage, start.lab, start.n, 0, {}, {}, {}, {}});
  for (std::size_t i = 1; i < readings->stages.size(); ++i) {
    const StageReadings& stage = readings->stages[i];
    auto change = difference_of(first.file, stage.file, *seen, settings);
    if (!change) {
      answer.refused.push_back(stage.stage + ": " + change.error().message);
      continue;
    }
    const Pair& pair = change->pairs.front();
    answer.stages.push_back({stage.stage, pair.after, pair.n_after, pair.change.de00, pair.parts,
                             pair.change.interval95, pair.change.u95, pair.change.verdict});
  }
  return answer;
}

}  // namespace mendtone::app
