#include "app/record/stages.hpp"

#include <algorithm>
#include <map>

#include "app/inputs/text.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/base/plain_text.hpp"
#include "mendtone/record/unreadable.hpp"

namespace mendtone::app {
namespace {

using record::Id;
using record::Kept;
using record::KeptReading;

bool begins_with(const std::string& text, std::string_view with) {
  return small_letters(text).rfind(with, 0) == 0;
}

/// The number in "bath 2"; nothing in any other stage.
std::optional<double> bath_number(const std::string& stage) {
  return begins_with(stage, "bath ") ? parse_number(trimmed(stage.substr(5))) : std::nullopt;
}

/// Before, bath by bath, after; nothing for a stage that is called otherwise.
std::optional<double> place_of_stage(const std::string& stage) {
  if (begins_with(stage, "before")) return -1;
  if (begins_with(stage, "after")) return 1e9;
  return bath_number(stage);
}

/// One stage of one place.
struct StageOfPlace {
  std::string name;
  std::string taken;  ///< the first day; empty where some reading does not say
  Id last_row = 0;
};

bool is_later(const StageOfPlace& one, const StageOfPlace& other) {
  const auto a = place_of_stage(one.name), b = place_of_stage(other.name);
  if (a && b && *a != *b) return *a > *b;
  if (!one.taken.empty() && !other.taken.empty() && one.taken != other.taken)
    return one.taken > other.taken;
  return one.last_row > other.last_row;
}

/// The place that a reading of the object is of; empty: it is none of the object.
std::string place_key(const KeptReading& reading) {
  if (reading.tissue || reading.trial || reading.offcut) return {};
  if (reading.loss) return "loss " + std::to_string(*reading.loss);
  if (reading.spot) return "spot " + std::to_string(*reading.spot);
  if (reading.sheet) return "sheet " + std::to_string(*reading.sheet) + " " + reading.reading.name;
  return {};
}

std::string stage_in_words(const std::string& stage) {
  return stage.empty() ? "stage not stated" : stage;
}

}  // namespace

OneStage of_latest_stage(KeptReadings readings) {
  struct Place {
    std::string name;
    std::vector<StageOfPlace> stages;
  };
  std::map<std::string, Place> places;
  for (const Kept<KeptReading>& kept : readings) {
    const std::string key = place_key(kept.value);
    if (key.empty()) continue;
    Place& place = places[key];
    if (place.name.empty()) place.name = kept.value.reading.name;
    auto stage = std::find_if(place.stages.begin(), place.stages.end(),
                              [&](const auto& one) { return one.name == kept.value.stage; });
    if (stage == place.stages.end())
      stage = place.stages.insert(stage, {kept.value.stage, kept.value.taken, kept.row});
    if (kept.value.taken.empty()) stage->taken.clear();
    stage->last_row = std::max(stage->last_row, kept.row);
  }
  OneStage one;
  std::map<std::string, std::string> latest;
  for (auto& [key, place] : places) {
    std::stable_sort(place.stages.begin(), place.stages.end(),
                     [](const auto& a, const auto& b) { return is_later(b, a); });
    latest[key] = place.stages.back().name;
    if (place.stages.size() < 2) continue;
    std::vector<std::string> names;
    for (const StageOfPlace& stage : place.stages) names.push_back(stage_in_words(stage.name));
    one.notes.push_back("'" + place.name + "' was read at several stages (" + listed(names) +
                        "): the latest, '" + names.back() +
                        "', is taken; NAME@STAGE names another");
  }
  std::erase_if(readings, [&](const Kept<KeptReading>& kept) {
    const auto found = latest.find(place_key(kept.value));
    return found != latest.end() && found->second != kept.value.stage;
  });
  one.readings = std::move(readings);
  return one;
}

Result<OneStage> readings_of_one_stage(const record::Store& store, const std::string& name) {
  auto plain = readings_plainly_named(store, name);
  if (!plain) return plain.error();
  if (!plain->empty()) {
    OneStage one = of_latest_years(*std::move(plain));
    OneStage of_stage = of_latest_stage(std::move(one.readings));
    of_stage.notes.insert(of_stage.notes.begin(), one.notes.begin(), one.notes.end());
    return of_stage;
  }
  auto of_stage = readings_named(store, name);
  if (!of_stage) return of_stage.error();
  return OneStage{*std::move(of_stage), {}};
}

namespace {

struct BathOfSheet {
  Id id = 0;
  std::string name, given, entered;
  std::optional<double> number;
};

Result<std::vector<BathOfSheet>> baths_of(const record::Store& store, Id sheet) {
  auto kept = record::all_readable<record::Bath>(store, {{{"sheet", record::Cell{sheet}}}, false});
  if (!kept) return kept.error();
  std::vector<BathOfSheet> baths;
  for (const auto& one : *kept) {
    BathOfSheet bath{one.id, one.value.name, one.value.given, one.entry.when, {}};
    if (one.value.number) bath.number = static_cast<double>(*one.value.number);
    if (bath.name.empty())
      bath.name =
          bath.number ? "bath " + shortest(*bath.number) : "bath #" + std::to_string(bath.id);
    if (!bath.number) bath.number = bath_number(bath.name);
    baths.push_back(std::move(bath));
  }
  return baths;
}

bool is_after(const BathOfSheet& bath, const Kept<KeptReading>& kept,
              const std::vector<BathOfSheet>& all) {
  const KeptReading& reading = kept.value;
  if (reading.bath == bath.id) return false;
  auto read_after = bath_number(reading.stage);
  for (const BathOfSheet& one : all)
    if (reading.bath == one.id) read_after = one.number;
  if (read_after && bath.number) return *bath.number > *read_after;
  if (!bath.given.empty() && !reading.taken.empty()) return bath.given > reading.taken;
  if (begins_with(reading.stage, "before")) return true;
  return bath.entered > kept.entry.when;
}

}  // namespace

Result<std::string> washed_since(const record::Store& store, const KeptReadings& readings) {
  std::vector<std::string> names;
  std::map<Id, std::vector<BathOfSheet>> baths_by_sheet;
  for (const Kept<KeptReading>& kept : readings) {
    if (place_key(kept.value).empty() || !kept.value.sheet) continue;
    const auto [at, fresh] = baths_by_sheet.try_emplace(*kept.value.sheet);
    if (fresh) {
      auto baths = baths_of(store, *kept.value.sheet);
      if (!baths) return baths.error();
      at->second = *std::move(baths);
    }
    for (const BathOfSheet& bath : at->second)
      if (is_after(bath, kept, at->second) &&
          std::find(names.begin(), names.end(), bath.name) == names.end())
        names.push_back(bath.name);
  }
  if (names.empty()) return std::string();
  return "washed since it was read (" + listed(names) +
         "): let it dry and condition, and read it again before toning";
}

}  // namespace mendtone::app
