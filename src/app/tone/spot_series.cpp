#include "mendtone/app/tone/spot_series.hpp"

#include <algorithm>

#include "app/inputs/json.hpp"
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

Result<SpotReadings> readings_of(const SpotSeriesRequest& request) {
  auto store = open_record(request.record, Opening::must_exist);
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

Result<SpotSeriesAnswer> spot_series(const SpotSeriesRequest& request) {
  auto seen = viewing(request.viewing, {"D65"});
  if (!seen) return seen.error();
  auto readings = readings_of(request);
  if (!readings) return readings.error();
  const StageReadings& first = readings->stages.front();
  auto tone = tone_of(first.file, *seen, false);
  if (!tone) return tone.error();
  SpotSeriesAnswer answer{
      request.sheet, request.spot, tone->lights, tone->observer_deg, readings->settings, {}, {}};
  answer.stages.push_back(
      {first.stage, tone->tones.front().lab, tone->tones.front().n, std::nullopt});
  for (std::size_t i = 1; i < readings->stages.size(); ++i) {
    const StageReadings& stage = readings->stages[i];
    auto change = difference_of(first.file, stage.file, *seen, readings->settings);
    if (!change) {
      answer.refused.push_back(stage.stage + ": " + change.error().message);
      continue;
    }
    const Pair& pair = change->pairs.front();
    answer.stages.push_back({stage.stage, pair.after, pair.n_after, pair});
  }
  return answer;
}

std::string to_json(const SpotSeriesAnswer& answer) {
  Json json = document("series");
  json["sheet"] = answer.sheet;
  json["spot"] = answer.spot;
  json["lights"] = answer.lights;
  json["observer"] = answer.observer_deg;
  json["tolerance_de00"] = answer.settings.tolerance_de00;
  json["tolerance_origin"] = tolerance_origin(answer.settings);
  json["reproducibility_de00"] = answer.settings.reproducibility_de00;
  json["points"] = Json::array();
  for (const SpotStage& stage : answer.stages) {
    Json point{{"stage", stage.stage}, {"lab", to_array(stage.lab)}, {"n", stage.n}};
    const Pair* pair = stage.change ? &*stage.change : nullptr;
    point["de00"] = pair ? pair->change.de00 : 0;
    point["interval95_de00"] = pair ? Json(pair->change.interval95) : Json();
    point["u95"] = pair ? Json(pair->change.u95) : Json();
    point["dL"] = pair ? pair->parts.dL : 0;
    point["da"] = pair ? pair->parts.da : 0;
    point["db"] = pair ? pair->parts.db : 0;
    point["verdict"] = pair ? Json(name_of(pair->change.verdict)) : Json();
    json["points"].push_back(std::move(point));
  }
  json["refused"] = answer.refused;
  return written(json);
}

}  // namespace mendtone::app
