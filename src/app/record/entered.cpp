#include "mendtone/app/record/entered.hpp"

#include <algorithm>

#include "app/inputs/json.hpp"
#include "app/record/owner.hpp"
#include "app/record/record_lookup.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/base/words.hpp"
#include "mendtone/record/unreadable.hpp"

namespace mendtone::app {
namespace {

using record::Kept;
using record::Store;

std::string text_in(const Json& json, const char* key) {
  const Json& member = json_member(json, key);
  return member.is_string() ? member.get<std::string>() : std::string();
}

std::optional<double> number_in(const Json& json, const char* key) {
  const Json& member = json_member(json, key);
  return member.is_number() ? std::optional(member.get<double>()) : std::nullopt;
}

Json list_of_texts(std::initializer_list<std::string> texts) {
  Json list = Json::array();
  for (const std::string& text : texts) list.push_back(text);
  return list;
}

std::string text_at(const Json& list, std::size_t at) {
  return list.is_array() && at < list.size() && list[at].is_string() ? list[at].get<std::string>()
                                                                     : std::string();
}

/// The bytes of something that the record holds, from where inputs come from; "null" where there is
/// none. `make` writes them from an open record.
template <class Make>
Result<Json> entered_json(const std::string& key, const InputPlace& place, Make make) {
  if (place.only) {
    const auto kept = place.only->find(key);
    if (kept == place.only->end()) return Json();
    auto json = json_from<Json>(kept->second, key);
    if (!json) return json.error();
    return *std::move(json);
  }
  if (place.record.empty()) return Json();
  auto store = open_record(place.record, Opening::must_exist);
  if (!store) return store.error();
  Result<Json> json = make(**store);
  if (json && place.noted)
    place.noted->emplace(key, json->dump(-1, ' ', false, Json::error_handler_t::replace));
  return json;
}

template <class T>
Result<std::vector<Kept<T>>> of_sheet(const Store& store, record::Id sheet) {
  return record::all_readable<T>(store, {{{"sheet", record::Cell{sheet}}}, false});
}

/// The adhesive of the fill that was chosen last for that loss, or for any loss of the sheet.
Result<std::string> adhesive_of(const Store& store, record::Id sheet, record::Link loss) {
  std::string adhesive;
  auto losses = of_sheet<record::Loss>(store, sheet);
  if (!losses) return losses.error();
  for (const auto& one : *losses) {
    if (loss && one.id != *loss) continue;
    auto fills =
        record::all_readable<record::Fill>(store, {{{"loss", record::Cell{one.id}}}, false});
    if (!fills) return fills.error();
    for (const auto& fill : *fills)
      if (fill.value.verdict == "chosen" && !fill.value.adhesive.empty())
        adhesive = fill.value.adhesive;
  }
  return adhesive;
}

Result<void> put_loss(const Store& store, const Owner& owner, Json& json) {
  auto losses = of_sheet<record::Loss>(store, *owner.sheet);
  if (!losses) return losses.error();
  std::optional<double> largest;
  for (const auto& loss : *losses) {
    if (owner.loss && loss.id != *owner.loss) continue;
    if (owner.loss) {
      json["loss"] = loss.value.name;
      json["media_near"] = loss.value.media_near;
    }
    if (loss.value.area_cm2) largest = std::max(largest.value_or(0), *loss.value.area_cm2);
  }
  json["loss_area_cm2"] = or_null(largest);
  return {};
}

Result<Json> sheet_json(const Store& store, const std::string& target, const std::string& reading) {
  auto owner = owner_named(store, target, reading);
  if (!owner) return owner.error();
  if (!owner->sheet) return Json();
  auto kept = record::get<record::Sheet>(store, *owner->sheet);
  if (!kept) return kept.error();
  const record::Sheet& sheet = kept->value;
  Json json{{"sheet", sheet.name},
            {"media", sheet.media},
            {"stamps", sheet.stamps},
            {"sizing", sheet.sizing},
            {"seen_against_light", sheet.seen_against_light},
            {"grammage_g_m2", or_null(sheet.grammage_g_m2)},
            {"viewing_distance_cm", or_null(sheet.viewing_distance_cm)}};
  if (auto put = put_loss(store, *owner, json); !put) return put.error();
  auto adhesive = adhesive_of(store, *owner->sheet, owner->loss);
  if (!adhesive) return adhesive.error();
  json["adhesive"] = *adhesive;
  if (sheet.shown_under) {
    auto lamp = record::get<record::Lamp>(store, *sheet.shown_under);
    if (!lamp) return lamp.error();
    if (lamp->value.power) json["lamp"] = lamp->value.name;
    json["lux_hours_year"] = or_null(lamp->value.lux_hours_year);
  }
  auto tests = of_sheet<record::SpotTest>(store, *owner->sheet);
  if (!tests) return tests.error();
  Json& tested = json["tested"] = Json::array();
  for (const auto& test : *tests)
    tested.push_back(list_of_texts({test.value.tested, test.value.liquid, test.value.outcome}));
  auto steps = of_sheet<record::Step>(store, *owner->sheet);
  if (!steps) return steps.error();
  Json& lifted = json["lifted"] = Json::array();
  for (const auto& step : *steps)
    if (step.value.standing == "allowed" &&
        (!step.value.loss || !owner->loss || step.value.loss == owner->loss))
      lifted.push_back(list_of_texts({step.value.name, step.value.reason}));
  return json;
}

Result<Json> colorants_json(const Store& store) {
  auto colorants = record::all_readable<record::Colorant>(store);
  if (!colorants) return colorants.error();
  Json all = Json::array();
  for (const auto& kept : *colorants) {
    const record::Colorant& one = kept.value;
    Json json{{"name", one.name},       {"colour_index", one.colour_index},
              {"medium", one.medium},   {"excluded", one.excluded},
              {"caution", one.caution}, {"light_fastness", one.light_fastness}};
    if (one.blue_wool) json["blue_wool"] = *one.blue_wool;
    all.push_back(std::move(json));
  }
  return all;
}

std::string drawer_words(const record::Tissue& tissue) {
  std::vector<std::string> parts;
  const auto add = [&](const char* what, const std::string& words) {
    if (!words.empty()) parts.push_back(std::string(what) + ": " + words);
  };
  add("thickness", tissue.thickness);
  add("texture", tissue.texture);
  add("grain", tissue.grain);
  add("sheen", tissue.sheen);
  add("drape", tissue.drape);
  return joined(parts);
}

Result<Json> tissues_json(const Store& store, const std::string& today) {
  // A tissue that cannot be understood is not in the drawer's readings either.
  std::vector<record::Unreadable> left_out;
  auto tissues = record::current<record::Tissue>(store, {}, left_out);
  if (!tissues) return tissues.error();
  Json all = Json::array();
  for (const auto& kept : *tissues) {
    const record::Tissue& one = kept.value;
    Json json{{"name", one.name},
              {"lot", one.lot},
              {"grammage_g_m2", or_null(one.grammage_g_m2)},
              {"in_words", drawer_words(one)},
              {"toned", one.toned_from || one.recipe}};
    auto readings = record::current<record::KeptReading>(
        store, {{{"tissue", record::Cell{kept.id}}}, false}, left_out);
    if (!readings) return readings.error();
    std::string last;
    for (const auto& reading : *readings)
      if (!has_role(reading.value.reading, {Role::swatch, Role::trial}))
        last =
            std::max(last, reading.value.taken.empty() ? reading.entry.when : reading.value.taken);
    json["last_read"] = last;
    all.push_back(std::move(json));
  }
  return Json{{"today", today}, {"tissues", std::move(all)}};
}

}  // namespace

Result<EnteredSheet> entered_sheet(const std::string& target, const std::string& reading,
                                   const InputPlace& place) {
  if (!place.only && is_file(target, place)) return EnteredSheet{};
  auto json = entered_json("entered sheet of " + target, place,
                           [&](const Store& store) { return sheet_json(store, target, reading); });
  if (!json) return json.error();
  EnteredSheet sheet;
  if (!json->is_object()) return sheet;
  sheet.sheet = text_in(*json, "sheet");
  sheet.loss = text_in(*json, "loss");
  std::vector<std::string> media;
  for (const char* key : {"media_near", "media"})
    if (std::string text = text_in(*json, key); !text.empty()) media.push_back(std::move(text));
  sheet.media = joined(media);
  sheet.stamps = text_in(*json, "stamps");
  sheet.sizing = text_in(*json, "sizing");
  sheet.adhesive = text_in(*json, "adhesive");
  sheet.seen_against_light = text_in(*json, "seen_against_light");
  sheet.lamp = text_in(*json, "lamp");
  sheet.lux_hours_year = number_in(*json, "lux_hours_year");
  sheet.grammage_g_m2 = number_in(*json, "grammage_g_m2");
  sheet.viewing_distance_cm = number_in(*json, "viewing_distance_cm");
  sheet.loss_area_cm2 = number_in(*json, "loss_area_cm2");
  for (const Json& test : json_member(*json, "tested"))
    sheet.tested.push_back({text_at(test, 0), text_at(test, 1), text_at(test, 2)});
  for (const Json& step : json_member(*json, "lifted"))
    sheet.lifted.push_back({text_at(step, 0), text_at(step, 1)});
  return sheet;
}

Result<std::vector<EnteredColorant>> entered_colorants(const InputPlace& place) {
  auto json = entered_json("entered colorants", place, colorants_json);
  if (!json) return json.error();
  std::vector<EnteredColorant> all;
  if (!json->is_array()) return all;
  for (const Json& one : *json) {
    EnteredColorant colorant{text_in(one, "name"),          text_in(one, "colour_index"),
                             text_in(one, "medium"),        text_in(one, "excluded"),
                             text_in(one, "caution"),       {},
                             text_in(one, "light_fastness")};
    if (const auto wool = number_in(one, "blue_wool")) colorant.blue_wool = static_cast<int>(*wool);
    all.push_back(std::move(colorant));
  }
  return all;
}

Result<EnteredTissues> entered_tissues(const InputPlace& place) {
  auto json = entered_json("entered tissues", place,
                           [&](const Store& store) { return tissues_json(store, place.today); });
  if (!json) return json.error();
  EnteredTissues all;
  if (!json->is_object()) return all;
  all.today = text_in(*json, "today");
  for (const Json& one : json_member(*json, "tissues"))
    all.tissues.push_back({text_in(one, "name"), text_in(one, "lot"),
                           number_in(one, "grammage_g_m2"), text_in(one, "in_words"),
                           text_in(one, "last_read"), json_member(one, "toned") == true});
  return all;
}

}  // namespace mendtone::app
