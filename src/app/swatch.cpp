#include "mendtone/app/swatch.hpp"

#include <algorithm>
#include <utility>

#include "app/sheet_seen.hpp"
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

/// The palette where it is to be laid, and what an instrument sees behind it.
struct Placed {
  Palette palette;
  std::vector<double> below;
  std::string over;
};

/// The palette on the tissue that was named, where it is another than its own.
Result<Palette> on_tissue(Palette palette, const std::vector<Reading>& readings,
                          const std::string& name, const Backings& backings) {
  std::vector<Reading> bare;
  for (const Reading& reading : readings)
    if ((reading.role == Role::tissue || reading.role == Role::substrate) &&
        (name.empty() || reading.name == name))
      bare.push_back(reading);
  if (bare.empty()) return palette;
  const std::vector<SheetReadings> sheets = sheets_of(bare, backings, palette.grid);
  const auto own = std::find_if(sheets.begin(), sheets.end(), [&](const SheetReadings& sheet) {
    return sheet.name == palette.substrate &&
           (sheet.lot.empty() || palette.lot.empty() || sheet.lot == palette.lot);
  });
  if (own != sheets.end()) return palette;
  if (names_in(bare).size() > 1)
    return bad_request("several tissues were read there: " + listed(names_in(bare)) +
                           "; name the one to be toned with another --on",
                       "--on");
  const SheetReadings& sheet = sheets.front();
  auto body = body_of(sheet);
  if (!body) return body.error();
  if (!body->body || !body->body->ply)
    return bad_input("the body of '" + sheet.name + "' is not known: " + body->why_not +
                         "; read it over a dark and a light backing",
                     "--on");
  return on_other_sheet(std::move(palette), *body->body->ply, sheet.name);
}

Result<Placed> place_wash(Palette palette, const SwatchRequest& request,
                          const std::vector<Reading>& readings, const Backings& backings) {
  const std::string& over = request.over;
  auto here = on_tissue(std::move(palette), readings, request.on_name, backings);
  if (!here) return here.error();
  if (const auto read = backings.find(over, here->grid); read && !read->nominal)
    return Placed{*std::move(here), read->R, over};
  if (const auto kept = here->backings.find(over); kept != here->backings.end()) {
    std::vector<double> below = kept->second;
    return Placed{*std::move(here), std::move(below), over};
  }
  std::vector<std::string> names = backings.names();
  for (const auto& [name, R] : here->backings)
    if (std::find(names.begin(), names.end(), name) == names.end()) names.push_back(name);
  if (!over.empty()) return no_backing(over, names);
  return bad_request("say what lies behind the swatch; there are " + listed(names), "--over");
}

/// A film on the fill that was read, or on the support that the colorants were calibrated on.
Result<Placed> place_film(Palette palette, const SwatchRequest& request,
                          const std::vector<Reading>& readings, const Backings& backings) {
  if (request.plies != 1)
    return bad_request(
        "a film lies on the fill as it was read, however many plies it has; leave "
        "the plies out",
        "--plies");
  const bool any = std::any_of(readings.begin(), readings.end(), [](const Reading& r) {
    return r.role != Role::backing && r.role != Role::target;
  });
  if (!any || request.on_name == palette.substrate) {
    if (!request.over.empty() && request.over != palette.substrate)
      return bad_request("a film lies on '" + palette.substrate +
                             "', its calibration's own support; for another surface give the "
                             "readings of the fill with --on",
                         "--over");
    return Placed{std::move(palette), {}, {}};
  }
  auto rows = coloured_rows(readings, request.on_name, true);
  if (!rows) return rows.error();
  const SheetReadings fill = sheets_of(*rows, backings, palette.grid).front();
  auto behind = behind_fill(fill, request.over, backings, palette.grid);
  if (!behind) return behind.error();
  auto below = fill_over(fill, *behind);
  if (!below) return below.error();
  return Placed{on_other_support(std::move(palette), *below, fill.name), *below, behind->name};
}

/// The readings that --on names: files, or something of the record.
Result<ReadFile> on_readings(const SwatchRequest& request, const Palette& palette,
                             std::string& name) {
  Sources on = request.on;
  if (on.files.empty() && !name.empty() && name != palette.substrate) {
    if (on.record.record.empty() && !on.record.only)
      return bad_request(
          "'" + name + "' is neither a file nor the palette's own '" + palette.substrate + "'",
          "--on");
    on.files = {std::exchange(name, {})};
  }
  return load(on);
}

}  // namespace

Result<SwatchAnswer> swatch(const SwatchRequest& request) {
  auto palette = load_palette(request.palette, request.on.record);
  if (!palette) return palette.error();
  const bool film = palette->application == Application::film;
  SwatchRequest asked = request;
  auto file = on_readings(asked, *palette, asked.on_name);
  if (!file) return file.error();
  if (!asked.over.empty())
    if (auto added = add_backing(asked.over, asked.on.record, file->readings); !added)
      return added.error();
  auto backings = Backings::from(file->readings);
  if (!backings) return backings.error();
  auto placed = film ? place_film(*std::move(palette), asked, file->readings, *backings)
                     : place_wash(*std::move(palette), asked, file->readings, *backings);
  if (!placed) return placed.error();
  const Palette* here = &placed->palette;
  const std::vector<double>* below = &placed->below;
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

  const int plies = request.plies;
  SwatchAnswer answer{*here,           placed->over, plies,         request.viewing.observer_deg,
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
      predicted.transmitted_why = "a film's own transmittance is not calibrated";
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
