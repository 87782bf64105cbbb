#include "mendtone/app/swatch.hpp"

#include <algorithm>

#include "app/text.hpp"
#include "mendtone/app/palette.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/weights.hpp"
#include "mendtone/materials/backings.hpp"
#include "mendtone/materials/prediction.hpp"
#include "mendtone/materials/sheet.hpp"

namespace mendtone::app {
namespace {

struct Mixture {
  std::string name;
  std::map<std::string, double> loads;
};

Result<std::vector<Mixture>> mixtures_of(const SwatchRequest& request) {
  std::vector<Mixture> mixtures;
  if (request.loads_file.empty()) {
    if (request.loads.empty())
      return bad_request("no mixture was given: name a file of loads, or --load NAME=LOAD");
    mixtures.push_back({"mixture", request.loads});
    return mixtures;
  }
  auto bytes = input_bytes(request.loads_file, request.on.record);
  if (!bytes) return bytes.error();
  ReadOptions options;
  options.loads_alone = true;
  auto file = read_readings(*bytes, request.loads_file, options);
  if (!file) return file.error();
  for (const Reading& reading : file->readings)
    if (!reading.loads.empty()) mixtures.push_back({reading.name, reading.loads});
  if (mixtures.empty())
    return bad_input("expected columns named load:<colorant>, found none", request.loads_file);
  return mixtures;
}

Result<std::vector<double>> in_order(const Palette& palette, const Mixture& mixture) {
  std::vector<double> loads(palette.colorants.size(), 0.0);
  for (const auto& [name, load] : mixture.loads) {
    const auto found =
        std::find_if(palette.colorants.begin(), palette.colorants.end(),
                     [&, wanted = name](const Colorant& c) { return c.name == wanted; });
    if (found == palette.colorants.end()) {
      if (load == 0) continue;
      std::vector<std::string> names;
      for (const Colorant& colorant : palette.colorants) names.push_back(colorant.name);
      return bad_input("the palette holds no '" + name + "'; it holds " + listed(names),
                       mixture.name);
    }
    if (load < 0) return bad_input("the load of '" + name + "' is below 0", mixture.name);
    loads[static_cast<std::size_t>(found - palette.colorants.begin())] = load;
  }
  return loads;
}

/// The palette on the sheet that was named, where it is another than its own.
Result<Palette> placed(Palette palette, const std::vector<Reading>& readings,
                       const Backings& backings) {
  std::vector<Reading> bare;
  for (const Reading& reading : readings)
    if (reading.role == Role::tissue || reading.role == Role::substrate) bare.push_back(reading);
  if (bare.empty() || palette.application == Application::film) return palette;
  const std::vector<SheetReadings> sheets = sheets_of(bare, backings, palette.grid);
  const auto own = std::find_if(sheets.begin(), sheets.end(), [&](const SheetReadings& sheet) {
    return sheet.name == palette.substrate &&
           (sheet.lot.empty() || palette.lot.empty() || sheet.lot == palette.lot);
  });
  if (own != sheets.end()) return palette;
  if (sheets.size() > 1) {
    std::vector<std::string> names;
    for (const SheetReadings& sheet : sheets) names.push_back(sheet.name);
    return bad_request("several tissues were read there: " + listed(names) +
                           "; give the readings of the one to be toned",
                       "--on");
  }
  const SheetReadings& sheet = sheets.front();
  auto body = body_of(sheet);
  if (!body) return body.error();
  if (!body->body || !body->body->ply)
    return bad_input("the body of '" + sheet.name + "' is not known: " + body->why_not +
                         "; read it over a dark and a light backing",
                     "--on");
  return on_other_sheet(std::move(palette), *body->body->ply, sheet.name);
}

Result<std::vector<double>> below_of(const Palette& palette, const Backings& backings,
                                     const std::string& over) {
  if (palette.application == Application::film && over.empty()) return std::vector<double>();
  if (const auto read = backings.find(over, palette.grid); read && !read->nominal) return read->R;
  if (const auto kept = palette.backings.find(over); kept != palette.backings.end())
    return kept->second;
  std::vector<std::string> names = backings.names();
  for (const auto& [name, R] : palette.backings)
    if (std::find(names.begin(), names.end(), name) == names.end()) names.push_back(name);
  return bad_request((over.empty() ? std::string("say what lies behind the swatch")
                                   : "no reading of the backing '" + over + "' was found") +
                         "; there are " + listed(names),
                     "--over");
}

}  // namespace

Result<SwatchAnswer> swatch(const SwatchRequest& request) {
  auto palette = load_palette(request.palette, request.on.record);
  if (!palette) return palette.error();
  if (!request.on_name.empty() && request.on_name != palette->substrate)
    return bad_request("'" + request.on_name + "' is neither a file nor the palette's own '" +
                           palette->substrate + "'",
                       "--on");
  auto file = load(request.on);
  if (!file) return file.error();
  if (auto added = add_backing(request.over, request.on.record, file->readings); !added)
    return added.error();
  auto backings = Backings::from(file->readings);
  if (!backings) return backings.error();
  auto here = placed(*std::move(palette), file->readings, *backings);
  if (!here) return here.error();
  auto below = below_of(*here, *backings, request.over);
  if (!below) return below.error();
  auto mixtures = mixtures_of(request);
  if (!mixtures) return mixtures.error();
  auto lights = viewing(request.viewing, viewing_and_gallery_lights());
  if (!lights) return lights.error();
  auto sheet_light =
      viewing({{request.light_sheet}, request.viewing.observer_deg, request.viewing.record}, {});
  if (!sheet_light) return sheet_light.error();
  std::vector<TristimulusWeights> weights;
  std::vector<Light> all = lights->lights;
  all.push_back(sheet_light->lights.front());
  for (const Light& light : all) {
    auto one = tristimulus_weights(here->grid, light, lights->observer);
    if (!one) return one.error();
    weights.push_back(*std::move(one));
  }

  const bool film = here->application == Application::film;
  const int plies = film ? 1 : request.plies;
  SwatchAnswer answer{*here,           request.over, plies,         request.viewing.observer_deg,
                      all.back().name, {},           file->warnings};
  for (const Mixture& mixture : *mixtures) {
    auto loads = in_order(*here, mixture);
    if (!loads) return loads.error();
    PredictedSwatch predicted;
    predicted.name = mixture.name;
    predicted.loads = *loads;
    predicted.reflectance = reflectance(*here, *loads, plies, *below);
    for (std::size_t i = 0; i + 1 < weights.size(); ++i)
      predicted.by_light.push_back({weights[i].light, weights[i].lab(predicted.reflectance)});
    predicted.transmitted_known = !film;
    if (film)
      predicted.transmitted_why = "a film's support was read as opaque";
    else
      predicted.transmitted_lab = weights.back().lab(transmittance(*here, *loads, plies));
    predicted.u95_de00 =
        u95_de00(*here, *loads, plies, *below, weights.front(), request.pick_up_sd);
    predicted.warnings = load_warnings(*here, *loads);
    predicted.warnings.insert(predicted.warnings.end(), here->warnings.begin(),
                              here->warnings.end());
    answer.swatches.push_back(std::move(predicted));
  }
  return answer;
}

}  // namespace mendtone::app
