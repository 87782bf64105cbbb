#include "app/image/image_fills.hpp"

#include "app/inputs/json.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/weights.hpp"
#include "mendtone/imaging/fill.hpp"
#include "mendtone/imaging/planar.hpp"

namespace mendtone::app {
namespace {

std::optional<Lab> lab_of(const Json& json) {
  if (!json.is_array() || json.size() != 3) return {};
  for (const Json& number : json)
    if (!number.is_number()) return {};
  return Lab{json[0].get<double>(), json[1].get<double>(), json[2].get<double>()};
}

std::string name_of(const Json& fill) {
  if (fill.contains("tissue") && fill["tissue"].is_string()) {
    std::string name = fill["tissue"].get<std::string>();
    if (const auto plies = json_whole(json_member(fill, "plies")))
      name += ", " + std::to_string(*plies) + (*plies == 1 ? " ply" : " plies");
    return name;
  }
  std::string name;
  if (fill.contains("loads") && fill["loads"].is_object())
    for (const auto& [colorant, load] : fill["loads"].items())
      if (load.is_number())
        name += (name.empty() ? "" : ", ") + colorant + " " + fixed(load.get<double>(), 3);
  return name.empty() ? "fill" : name;
}

Lab to_display(const Lab& lab, const Xyz& white) {
  return xyz_to_lab(adapt(lab_to_xyz(lab, white), white, image_white), image_white);
}

Result<Xyz> white_of(const std::string& light, int observer_deg) {
  auto named = standard_light(light);
  if (!named) return named.error();
  auto observer = observer_from_degrees(observer_deg);
  if (!observer) return observer.error();
  auto weights = tristimulus_weights(WavelengthGrid::equal_steps(380, 5, 81), *named, *observer);
  if (!weights) return weights.error();
  return weights->white;
}

}  // namespace

Result<RankedFills> read_fills(const std::string& path, const std::string& light,
                               const InputPlace& place) {
  auto bytes = input_bytes(path, place);
  if (!bytes) return bytes.error();
  const auto document = json_from(*bytes, path);
  if (!document) return document.error();
  const Json& json = *document;
  const char* list = !json.is_object()             ? nullptr
                     : json.contains("candidates") ? "candidates"
                     : json.contains("recipes")    ? "recipes"
                                                   : nullptr;
  if (!list || !json[list].is_array() || json[list].empty())
    return bad_input(
        "expected what `mendtone tissue` or `mendtone wash` gives with --format json, "
        "with at least one candidate or recipe",
        path);
  RankedFills fills;
  fills.light = light;
  if (json.contains("observer"))
    fills.observer_deg = static_cast<int>(json_whole(json["observer"], 0, 10).value_or(0));
  Xyz white;
  for (const Json& item : json[list]) {
    const std::string where = path + ", /" + list + "/" + std::to_string(fills.fills.size());
    if (!item.is_object() || !item.contains("by_light") || !item["by_light"].is_object() ||
        item["by_light"].empty())
      return bad_input("expected an object with by_light", where);
    const Json& by_light = item["by_light"];
    if (fills.light.empty()) fills.light = by_light.begin().key();
    if (!by_light.contains(fills.light))
      return bad_input("it holds no colour under " + fills.light, where);
    if (fills.fills.empty()) {
      auto found = white_of(fills.light, fills.observer_deg);
      if (!found) return bad_input(found.error().message, where);
      white = *found;
    }
    const Json& colour = by_light[fills.light];
    const auto lab = lab_of(json_member(colour, "lab"));
    const Json &dL = json_member(colour, "dL"), &da = json_member(colour, "da"),
               &db = json_member(colour, "db");
    if (!lab || !dL.is_number() || !da.is_number() || !db.is_number())
      return bad_input("expected lab, dL, da, db under " + fills.light, where);
    RankedFill fill;
    fill.name = name_of(item);
    fill.lab = to_display(*lab, white);
    fill.sheet = to_display(
        {lab->L - dL.get<double>(), lab->a - da.get<double>(), lab->b - db.get<double>()}, white);
    if (item.contains("overlap_de00") && item["overlap_de00"].is_number())
      fill.overlap_de00 = item["overlap_de00"].get<double>();
    // Known under the light that ranked; as an eye used to that light sees it.
    if (item.contains("overlap") && item["overlap"].is_object() &&
        fills.light == by_light.begin().key()) {
      const Json& o = item["overlap"];
      const Json &oL = json_member(o, "dL"), &oa = json_member(o, "da"), &ob = json_member(o, "db");
      if (!oL.is_number() || !oa.is_number() || !ob.is_number())
        return bad_input("expected dL, da, db in overlap", where);
      const Lab margin = to_display({lab->L - dL.get<double>() + oL.get<double>(),
                                     lab->a - da.get<double>() + oa.get<double>(),
                                     lab->b - db.get<double>() + ob.get<double>()},
                                    white);
      fill.overlap_shift =
          Lab{margin.L - fill.sheet.L, margin.a - fill.sheet.a, margin.b - fill.sheet.b};
    }
    fills.fills.push_back(std::move(fill));
  }
  return fills;
}

}  // namespace mendtone::app
