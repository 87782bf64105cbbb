#include "app/inputs/json.hpp"
#include "app/inputs/text.hpp"
#include "app/tissue/sheet_seen.hpp"
#include "mendtone/app/wash/swatch.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::app {
namespace {

std::string loads_text(const Palette& palette, const std::vector<double>& loads) {
  std::vector<std::string> parts;
  for (std::size_t j = 0; j < loads.size(); ++j)
    if (loads[j] > 0) parts.push_back(palette.colorants[j].name + " " + shortest(loads[j]));
  return parts.empty() ? "no colorant" : listed(parts);
}

}  // namespace

std::string to_text(const SwatchAnswer& answer) {
  const bool film = answer.palette.application == Application::film;
  std::string text =
      "On '" + answer.palette.substrate + "'" +
      (answer.over.empty() ? "" : " over '" + answer.over + "'") + ", " +
      (film ? "a film" : counted(static_cast<std::size_t>(answer.plies), "ply", "plies")) +
      "; observer " + std::to_string(answer.observer_deg) + " degrees; loads in " +
      in_words(answer.palette.load_unit) + "\n\n";
  for (const PredictedSwatch& swatch : answer.swatches) {
    text += swatch.name + ": " + loads_text(answer.palette, swatch.loads) + "\n";
    for (const SwatchColour& colour : swatch.by_light)
      text +=
          "  " + padded(colour.light, 10) + text_of(colour.lab) +
          (colour.predictable ? std::string()
                              : "  not predictable (" + std::string(brightener_was_found) + ")") +
          "\n";
    text += "  within " + fixed(swatch.u95_de00, 2) + " DeltaE00, 95 times in 100\n";
    if (swatch.transmitted_known)
      text += "  on a light sheet (" + answer.light_sheet +
              "): " + text_of(swatch.transmitted_lab) + "\n";
    else if (!film)
      text += "  on a light sheet: not known, " + swatch.transmitted_why + "\n";
    for (const std::string& warning : swatch.warnings) text += "  ! " + warning + "\n";
  }
  for (const Warning& warning : answer.warnings) text += "! " + line_of(warning) + "\n";
  return text;
}

std::string to_json(const SwatchAnswer& answer) {
  Json json = document("swatch");
  json["substrate"] = answer.palette.substrate;
  json["application"] = name_of(answer.palette.application);
  json["load_unit"] = name_of(answer.palette.load_unit);
  json["over"] = answer.over;
  json["plies"] = answer.plies;
  json["observer"] = answer.observer_deg;
  json["swatches"] = Json::array();
  for (const PredictedSwatch& swatch : answer.swatches) {
    Json one = {{"name", swatch.name}, {"loads", Json::object()}};
    for (std::size_t j = 0; j < swatch.loads.size(); ++j)
      if (swatch.loads[j] > 0) one["loads"][answer.palette.colorants[j].name] = swatch.loads[j];
    one["lab"] = to_array(swatch.by_light.front().lab);
    one["by_light"] = Json::object();
    for (const SwatchColour& colour : swatch.by_light) {
      one["by_light"][colour.light] = {{"lab", to_array(colour.lab)}};
      if (!colour.predictable)
        one["by_light"][colour.light]["not_predictable"] = brightener_was_found;
    }
    one["transmitted"] = {
        {"known", swatch.transmitted_known},
        {"why", swatch.transmitted_why},
        {"lab", swatch.transmitted_known ? to_array(swatch.transmitted_lab) : Json(nullptr)},
        {"light", answer.light_sheet}};
    one["wavelengths_nm"] = answer.palette.grid.nm();
    one["reflectance"] = swatch.reflectance;
    one["u95_de00"] = swatch.u95_de00;
    one["warnings"] = swatch.warnings;
    json["swatches"].push_back(std::move(one));
  }
  json["warnings"] = to_array(answer.warnings);
  return written(json);
}

std::string to_csv(const SwatchAnswer& answer) {
  std::vector<std::string> heading{"name", "light", "observer", "L*", "a*", "b*", "u95_de00"};
  for (double nm : answer.palette.grid.nm()) heading.push_back(shortest(nm));
  std::string text = csv_line(heading);
  for (const PredictedSwatch& swatch : answer.swatches) {
    const SwatchColour& seen = swatch.by_light.front();
    std::vector<std::string> cells{swatch.name,
                                   seen.light,
                                   std::to_string(answer.observer_deg),
                                   shortest(seen.lab.L),
                                   shortest(seen.lab.a),
                                   shortest(seen.lab.b),
                                   shortest(swatch.u95_de00)};
    for (double R : swatch.reflectance) cells.push_back(shortest(R));
    text += csv_line(cells);
  }
  return text;
}

}  // namespace mendtone::app
