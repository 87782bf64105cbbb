#include "mendtone/app/wash/swatch.hpp"

#include <algorithm>
#include <utility>

#include "app/inputs/tables.hpp"
#include "app/inputs/text.hpp"
#include "app/tissue/sheet_seen.hpp"
#include "app/wash/wash_care.hpp"
#include "mendtone/app/wash/palette.hpp"
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

Result<std::vector<Mixture>> mixtures_of(const SwatchRequest& request, const InputPlace& place) {
  std::vector<Mixture> mixtures;
  if (request.loads_file.empty()) {
    if (request.loads.empty())
      return bad_request("no mixture was given: name a file of loads, or --load NAME=LOAD");
    mixtures.push_back({"mixture", request.loads});
    return mixtures;
  }
  auto bytes = input_bytes(request.loads_file, place);
  if (!bytes) return bytes.error();
  ReadOptions options;
  options.loads_alone = true;
  auto file = readings_in(*bytes, request.loads_file, options);
  if (!file) return file.error();
  for (const Reading& reading : file->readings)
    if (!reading.loads.empty()) mixtures.push_back({reading.name, reading.loads});
  if (mixtures.empty())
    return bad_input("expected columns named load:<colorant>, found none", request.loads_file);
  return mixtures;
}

/// Of all mixtures, each colorant that is laid down.
std::vector<std::string> colorants_in(const std::vector<Mixture>& mixtures) {
  std::vector<std::string> names;
  for (const Mixture& mixture : mixtures)
    for (const auto& [name, load] : mixture.loads)
      if (load > 0 && std::find(names.begin(), names.end(), name) == names.end())
        names.push_back(name);
  return names;
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
  std::vector<Warning> warnings;
};

/// The palette on the tissue that was named, where it is another than its own.
Result<Palette> on_tissue(Palette palette, const std::vector<Reading>& readings,
                          const std::string& name, const Backings& backings,
                          std::vector<Warning>& warnings) {
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
  if (sheets.size() > 1)
    warnings.push_back({"read in several manners; used: " + manner_in_words(sheet), sheet.name});
  auto body = body_of(sheet, {}, palette.model);
  if (!body) return body.error();
  if (!body->body || !body->body->ply)
    return bad_input("the body of '" + sheet.name + "' is not known: " + body->why_not +
                         "; read it over a dark and a light backing",
                     "--on");
  return on_other_sheet(std::move(palette), *body->body->ply, sheet.name);
}

Result<Placed> place_wash(Palette palette, const SwatchRequest& request,
                          const std::vector<Reading>& readings, const Backings& backings) {
  Placed placed;
  auto here = on_tissue(std::move(palette), readings, request.on_name, backings, placed.warnings);
  if (!here) return here.error();
  placed.palette = *std::move(here);
  auto behind = behind_wash(request.over, backings, placed.palette, true);
  if (!behind) return behind.error();
  placed.over = behind->name;
  placed.below = std::move(behind->R);
  for (Warning& warning : warnings_of(*behind)) placed.warnings.push_back(std::move(warning));
  return placed;
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
    return Placed{std::move(palette), {}, {}, {}};
  }
  auto rows = coloured_rows(readings, request.on_name, true);
  if (!rows) return rows.error();
  const auto fills = sheets_of(*rows, backings, palette.grid);
  const SheetReadings& fill = fills.front();
  auto behind = behind_fill(fill, request.over, backings, palette.grid);
  if (!behind) return behind.error();
  auto below = fill_over(fill, *behind);
  if (!below) return below.error();
  Placed placed{on_other_support(std::move(palette), *below, fill.name), *below, behind->name, {}};
  if (fills.size() > 1)
    placed.warnings.push_back(
        {"read in several manners; used: " + manner_in_words(fill), fill.name});
  return placed;
}

/// Whether a brightener is in what is coloured, and the warnings of those that were found.
Result<bool> brightened(const Placed& placed, const std::vector<Reading>& readings,
                        std::vector<Warning>& warnings) {
  bool any = placed.palette.brightener;
  const auto found = flagged_brighteners(readings);
  if (!found) return found.error();
  for (const Brightener& one : *found) {
    warnings.push_back(warning_of(one));
    any = any || one.name == placed.palette.substrate;
  }
  return any;
}

/// The readings that --on names: files, or something of the record. The palette's own tissue may be
/// named there too.
Result<ReadFile> on_readings(SwatchRequest& request, const Palette& palette,
                             const InputPlace& place) {
  std::string& name = request.on_name;
  std::vector<std::string> files;
  for (const std::string& on : request.on.files)
    if (!is_file(on, place) && on == palette.substrate)
      name = on;
    else
      files.push_back(on);
  if (files.empty() && !name.empty() && name != palette.substrate)
    files = {std::exchange(name, {})};
  for (const std::string& file : files)
    if (!is_file(file, place) && place.record.empty() && !place.only)
      return bad_request(
          "'" + file + "' is neither a file nor the palette's own '" + palette.substrate + "'",
          "--on");
  request.on.files = std::move(files);
  return load(request.on, place);
}

/// What the swatches are seen by.
struct SwatchEye {
  std::vector<TristimulusWeights> weights;  ///< one a light, the viewing light first
  TristimulusWeights light_sheet;
  std::string no_light_sheet;  ///< why nothing can be said of it; empty: it can
  bool bright = false;         ///< a brightener was found
};

Result<SwatchEye> eye_of(const SwatchRequest& request, const InputPlace& place,
                         const Palette& palette, bool bright, std::vector<Warning>& warnings) {
  auto lights = viewing(request.viewing, viewing_and_gallery_lights(), place);
  if (!lights) return lights.error();
  if (bright && view_under_readings_light(*lights))
    warnings.push_back(
        {"a brightener was found: D50 comes first, the only light that the readings "
         "tell of; the others are marked",
         palette.substrate});
  auto sheet_light =
      viewing({{request.light_sheet}, lights->observer == Observer::deg2 ? 2 : 10}, {}, place);
  if (!sheet_light) return sheet_light.error();
  SwatchEye eye;
  eye.bright = bright;
  for (const Light& light : lights->lights) {
    auto one = tristimulus_weights(palette.grid, light, lights->observer);
    if (!one) return one.error();
    eye.weights.push_back(*std::move(one));
  }
  auto through = tristimulus_weights(palette.grid, sheet_light->lights.front(), lights->observer);
  if (!through) return through.error();
  eye.light_sheet = *std::move(through);
  if (palette.application == Application::film)
    eye.no_light_sheet = "a film's own transmittance is not calibrated";
  else if (bright && !is_readings_light(eye.light_sheet.light))
    eye.no_light_sheet = not_predictable_through;
  return eye;
}

Result<PredictedSwatch> predicted_of(const Mixture& mixture, const Placed& placed,
                                     const SwatchEye& eye, const SwatchRequest& request) {
  const Palette& palette = placed.palette;
  const auto loads = in_order(palette, mixture);
  if (!loads) return loads.error();
  PredictedSwatch predicted;
  predicted.name = mixture.name;
  predicted.loads = results::loads_of(palette, *loads);
  predicted.wavelengths_nm = {palette.grid.nm().begin(), palette.grid.nm().end()};
  predicted.reflectance = reflectance(palette, *loads, request.plies, placed.below);
  for (const TristimulusWeights& light : eye.weights)
    predicted.by_light.push_back(
        {light.light, results::PredictedLab(*light.lab(predicted.reflectance)),
         !eye.bright || is_readings_light(light.light) ? "" : brightener_was_found});
  predicted.lab = predicted.by_light.front().lab;
  results::Transmitted& through = predicted.transmitted;
  through.light = eye.light_sheet.light;
  through.why = eye.no_light_sheet;
  through.known = eye.no_light_sheet.empty();
  if (through.known)
    through.lab = *eye.light_sheet.lab(transmittance(palette, *loads, request.plies));
  predicted.u95_de00 = u95_de00(palette, *loads, request.plies, placed.below, eye.weights.front(),
                                request.pick_up_sd);
  predicted.warnings = load_warnings(palette, *loads);
  predicted.warnings.insert(predicted.warnings.end(), palette.warnings.begin(),
                            palette.warnings.end());
  return predicted;
}

}  // namespace

Result<SwatchAnswer> swatch(const SwatchRequest& request, const InputPlace& place) {
  auto palette = load_palette(request.palette, place);
  if (!palette) return palette.error();
  const bool film = palette->application == Application::film;
  SwatchRequest asked = request;
  auto file = on_readings(asked, *palette, place);
  if (!file) return file.error();
  if (!asked.over.empty())
    if (auto added = add_backing(asked.over, place, file->readings); !added) return added.error();
  auto backings = Backings::from(file->readings);
  if (!backings) return backings.error();
  auto placed = film ? place_film(*std::move(palette), asked, file->readings, *backings)
                     : place_wash(*std::move(palette), asked, file->readings, *backings);
  if (!placed) return placed.error();
  auto mixtures = mixtures_of(request, place);
  if (!mixtures) return mixtures.error();
  const std::vector<std::string> used = colorants_in(*mixtures);
  if (auto done = complete_swatch(asked.care, placed->palette, used, place, file->warnings); !done)
    return done.error();
  auto bright = brightened(*placed, file->readings, file->warnings);
  if (!bright) return bright.error();
  auto eye = eye_of(request, place, placed->palette, *bright, file->warnings);
  if (!eye) return eye.error();
  file->warnings.insert(file->warnings.end(), placed->warnings.begin(), placed->warnings.end());
  SwatchAnswer answer{placed->palette.substrate,
                      placed->palette.application,
                      placed->palette.load_unit,
                      placed->over,
                      request.plies,
                      request.viewing.observer_deg.value_or(10),
                      {},
                      lines_of(file->warnings),
                      swatch_cautions(placed->palette, asked.care, used)};
  for (const Mixture& mixture : *mixtures) {
    auto predicted = predicted_of(mixture, *placed, *eye, request);
    if (!predicted) return predicted.error();
    answer.swatches.push_back(*std::move(predicted));
  }
  return answer;
}

}  // namespace mendtone::app
