#include "mendtone/materials/sheet.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <unordered_map>

#include "mendtone/base/numbers.hpp"
#include "mendtone/optics/inversion.hpp"
#include "mendtone/spectral/geometry.hpp"

namespace mendtone {
namespace {

bool same_sheet(const SheetReadings& sheet, const Reading& reading) {
  return sheet.name == reading.name && sheet.lot == reading.lot && sheet.role == reading.role &&
         sheet.state == reading.state && sheet.condition == reading.condition &&
         sheet.geometry == reading.geometry;
}

/// The sheets found so far and where to find them by name: a drawer may hold thousands.
struct Gathered {
  std::vector<SheetReadings> sheets;
  std::unordered_map<std::string, std::vector<std::size_t>> by_name;
};

SheetReadings& sheet_for(Gathered& all, const Reading& reading, const WavelengthGrid& grid) {
  std::vector<std::size_t>& namesakes = all.by_name[reading.name];
  for (const std::size_t i : namesakes)
    if (same_sheet(all.sheets[i], reading)) return all.sheets[i];
  namesakes.push_back(all.sheets.size());
  SheetReadings fresh;
  fresh.name = reading.name;
  fresh.lot = reading.lot;
  fresh.role = reading.role;
  fresh.state = reading.state;
  fresh.condition = reading.condition;
  fresh.geometry = reading.geometry;
  fresh.grid = grid;
  all.sheets.push_back(std::move(fresh));
  return all.sheets.back();
}

void say_once(std::vector<std::string>& said, const std::string& words) {
  if (std::find(said.begin(), said.end(), words) == said.end()) said.push_back(words);
}

SheetReading averaged(const Repeats& repeats, const Backings& backings, SheetReadings& sheet) {
  const Reading& first = repeats.first();
  SheetReading reading;
  reading.quantity = first.quantity;
  reading.backing = first.backing;
  reading.plies = first.plies.value_or(1);
  reading.side = first.side;
  reading.source = first.source;
  Regridded mean = on_grid(*mean_spectrum(repeats), sheet.grid);
  if (!mean.done.empty()) say_once(sheet.warnings, mean.done);
  for (const std::string& words : apart_in_words(repeats)) say_once(sheet.warnings, words);
  reading.mean = std::move(mean.value);
  if (repeats.readings.size() > 1)
    for (const Reading& one : repeats.readings) {
      reading.deviations.push_back(on_grid(*one.spectrum, sheet.grid).value);
      for (std::size_t i = 0; i < reading.mean.size(); ++i)
        reading.deviations.back()[i] -= reading.mean[i];
    }
  if (first.backing.empty() || first.quantity == Quantity::transmittance) return reading;
  if (auto backing = backings.find(first, sheet.grid)) {
    reading.Rg = std::move(backing->R);
    reading.nominal_backing = backing->nominal;
    for (const std::string& words : backing->warnings) say_once(sheet.warnings, words);
  } else {
    say_once(sheet.warnings, "no reading of the backing '" + first.backing + "' was found");
  }
  return reading;
}

double mean_of(const std::vector<double>& values) {
  double sum = 0;
  for (double value : values) sum += value;
  return sum / static_cast<double>(values.size());
}

struct Two {
  std::size_t dark = 0, light = 0;
  double contrast = 0;
};

/// The two readings of one face, equal in plies, whose backings differ most; measured backings
/// before nominal ones.
std::optional<Two> best_two(const SheetReadings& sheet, bool back) {
  std::optional<Two> best;
  const auto usable = [&](const SheetReading& r) {
    return r.quantity == Quantity::reflectance && !r.Rg.empty() && (r.side == Side::back) == back;
  };
  for (std::size_t i = 0; i < sheet.spectral.size(); ++i)
    for (std::size_t j = 0; j < sheet.spectral.size(); ++j) {
      const SheetReading &dark = sheet.spectral[i], &light = sheet.spectral[j];
      if (!usable(dark) || !usable(light) || dark.plies != light.plies) continue;
      double contrast = mean_of(light.Rg) - mean_of(dark.Rg);
      if (contrast < 0.1) continue;
      if (dark.nominal_backing || light.nominal_backing) contrast -= 1;
      if (!best || contrast > best->contrast) best = Two{i, j, contrast};
    }
  return best;
}

std::string why_no_body(const SheetReadings& sheet) {
  std::vector<std::string> over;
  for (const SheetReading& reading : sheet.spectral)
    if (reading.quantity == Quantity::reflectance)
      over.push_back(reading.backing.empty() ? "a backing not stated"
                                             : "'" + reading.backing + "'");
  if (over.empty()) return "only L*a*b* is given";
  std::string list = over.front();
  for (std::size_t i = 1; i < over.size(); ++i)
    list += (i + 1 == over.size() ? " and " : ", ") + over[i];
  std::string unread;
  for (const SheetReading& reading : sheet.spectral)
    if (reading.quantity == Quantity::reflectance && reading.Rg.empty() &&
        !reading.backing.empty() && unread.find("'" + reading.backing + "'") == std::string::npos)
      unread += (unread.empty() ? "'" : ", '") + reading.backing + "'";
  if (!unread.empty())
    return "read over " + list + ", and " + unread + " is not among the files: give its reading";
  return "read over " + list + " only: two known backings that differ are needed to tell its body";
}

ReadOver read_over(const SheetReading& reading) {
  return {reading.mean, reading.Rg};
}

void check(SheetBody& body, const std::string& what, const std::vector<double>& predicted,
           const std::vector<double>& read) {
  BodyCheck found{what, 0, 0};
  for (std::size_t i = 0; i < read.size(); ++i) {
    const double error = std::abs(predicted[i] - read[i]);
    found.mean_error += error / static_cast<double>(read.size());
    found.worst_error = std::max(found.worst_error, error);
  }
  body.checks.push_back(found);
  if (found.mean_error > 2 * reading_noise)
    body.warnings.push_back(what + " was read " + fixed(found.mean_error, 3) +
                            " away from what the body says that its other readings give, on "
                            "average over the bands");
}

std::string in_plies(const SheetReading& reading) {
  return reading.plies == 1 ? "one ply" : std::to_string(reading.plies) + " plies";
}

void check_the_rest(SheetBody& body, const SheetReadings& sheet, const Surfaces& surfaces) {
  for (std::size_t i = 0; i < sheet.spectral.size(); ++i) {
    const SheetReading& reading = sheet.spectral[i];
    if (i == body.dark || i == body.light || reading.side == Side::back || !body.ply) continue;
    const std::string plies = in_plies(reading);
    if (reading.quantity == Quantity::transmittance) {
      std::vector<double> T;
      for (const Slab& slab : piled(*body.ply, reading.plies, surfaces)) T.push_back(slab.out);
      check(body, "the transmittance of " + plies, T, reading.mean);
    } else if (!reading.Rg.empty()) {
      check(body, plies + " over '" + reading.backing + "'",
            predicted_over(*body.ply, reading.plies, reading.Rg, surfaces), reading.mean);
    }
  }
}

std::string full_name(const SheetReadings& sheet) {
  return "'" + sheet.name + "'" + (sheet.lot.empty() ? "" : " (lot " + sheet.lot + ")");
}

/// Keeps the two faces apart where both were read and differ by more than noise.
Result<void> part_faces(SheetBody& body, const SheetReadings& sheet) {
  const auto back = best_two(sheet, true);
  if (!back) return {};
  const SheetReading &fd = sheet.spectral[body.dark], &fl = sheet.spectral[body.light];
  const SheetReading &bd = sheet.spectral[back->dark], &bl = sheet.spectral[back->light];
  if (fd.plies != 1 || bd.plies != 1) return {};
  auto faces =
      sheet_from_both_faces(sheet.grid, read_over(fd), read_over(fl), read_over(bd), read_over(bl));
  if (!faces) return bad_input(full_name(sheet) + ", both faces: " + faces.error().message);
  double apart = 0;
  for (const Slab& slab : faces->body) apart = std::max(apart, std::abs(slab.R12 - slab.R21));
  if (apart <= reading_noise) return {};
  body.slab = std::move(faces->body);
  body.opaque = std::move(faces->opaque);
  body.ply.reset();
  body.warnings.insert(body.warnings.end(), faces->warnings.begin(), faces->warnings.end());
  body.warnings.push_back("front and back differ by up to " + fixed(apart, 3) +
                          ": each face is taken as read");
  return {};
}

}  // namespace

std::optional<WavelengthGrid> first_grid(std::span<const Reading> readings) {
  for (const Reading& reading : readings)
    if (reading.spectrum) return reading.spectrum->grid;
  return std::nullopt;
}

std::vector<SheetReadings> sheets_of(std::span<const Reading> readings, const Backings& backings,
                                     const WavelengthGrid& grid) {
  Gathered all;
  for (const Repeats& repeats : group_repeats(readings)) {
    const Reading& first = repeats.first();
    SheetReadings& sheet = sheet_for(all, first, grid);
    if (!sheet.grammage_g_m2) sheet.grammage_g_m2 = first.grammage_g_m2;
    if (!sheet.bleeds) sheet.bleeds = first.bleeds;
    if (repeats.spectral())
      sheet.spectral.push_back(averaged(repeats, backings, sheet));
    else
      sheet.lab_only.insert(sheet.lab_only.end(), repeats.readings.begin(), repeats.readings.end());
  }
  return std::move(all.sheets);
}

namespace {

PlyReading ply_reading(const SheetReading& reading) {
  return {reading.mean,
          reading.quantity == Quantity::transmittance ? std::span<const double>() : reading.Rg,
          reading.plies};
}

/// In many fluxes: first from the two readings over the backings that differ most, then by least
/// squares from all that these two do not contradict. One that they contradict is left to a check.
Result<PlyFound> ply_of_many_fluxes(const SheetReadings& sheet, const Two& two, Viewing viewing) {
  std::vector<PlyReading> used{ply_reading(sheet.spectral[two.dark]),
                               ply_reading(sheet.spectral[two.light])};
  PlyFound found = MENDTONE_TRY(ply_from_readings(sheet.grid, used, viewing));
  for (std::size_t i = 0; i < sheet.spectral.size(); ++i) {
    const SheetReading& reading = sheet.spectral[i];
    const bool transmitted = reading.quantity == Quantity::transmittance;
    if (i == two.dark || i == two.light || reading.side == Side::back) continue;
    if (!transmitted && (reading.Rg.empty() || reading.nominal_backing)) continue;
    const std::vector<Slab> slabs = stacked(found.ply, reading.plies);
    double worst = 0;
    for (std::size_t b = 0; b < slabs.size(); ++b) {
      const double said = transmitted ? slabs[b].out : over(slabs[b], reading.Rg[b]);
      worst = std::max(worst, std::abs(said - reading.mean[b]));
    }
    if (worst <= impossible_beyond) used.push_back(ply_reading(reading));
  }
  if (used.size() == 2) return found;
  return ply_from_readings(sheet.grid, used, viewing);
}

}  // namespace

LayerModel many_fluxes_of(const SheetReadings& sheet) {
  return many_fluxes(viewing_of(geometry_of(sheet.geometry)));
}

Result<SheetBodyFound> body_of(const SheetReadings& sheet, const Surfaces& surfaces,
                               LayerModel model) {
  const auto two = best_two(sheet, false);
  if (!two) return SheetBodyFound{std::nullopt, why_no_body(sheet)};
  const SheetReading &dark = sheet.spectral[two->dark], &light = sheet.spectral[two->light];
  const bool many = model != LayerModel::two_fluxes && surfaces.interface.none();
  auto found = many ? ply_of_many_fluxes(sheet, *two, viewing_of(model))
                    : ply_from_two_backings(sheet.grid, read_over(dark), read_over(light),
                                            dark.plies, surfaces);
  if (!found)
    return bad_input(full_name(sheet) + ": " + found.error().message, text_of(light.source));
  SheetBody body;
  body.slab = piled(found->ply, 1, surfaces);
  body.opaque = found->ply.opaque;
  body.ply = std::move(found->ply);
  body.dark = two->dark;
  body.light = two->light;
  body.counts = found->counts;
  MENDTONE_TRY(part_faces(body, sheet));
  check_the_rest(body, sheet, surfaces);
  return SheetBodyFound{std::move(body), {}};
}

// From R = R0 + T^2 Rg / (1 - R0 Rg), twice.
std::vector<double> hidden_transmittance(const SheetBody& body, const SheetReadings& sheet) {
  std::vector<double> T(body.slab.size(), 0.0);
  const SheetReading &dark = sheet.spectral[body.dark], &light = sheet.spectral[body.light];
  for (std::size_t i = 0; i < T.size(); ++i) {
    if (!body.opaque[i]) continue;
    const double R = body.slab[i].seen;
    T[i] = std::sqrt(opaque_below * (1 - R * light.Rg[i]) * (1 - R * dark.Rg[i]) /
                     std::abs(light.Rg[i] - dark.Rg[i]));
  }
  return T;
}

const SheetReading* read_over(const SheetReadings& sheet, std::string_view backing, int plies) {
  for (const SheetReading& reading : sheet.spectral)
    if (reading.quantity == Quantity::reflectance && reading.backing == backing &&
        reading.plies == plies && reading.side != Side::back)
      return &reading;
  return nullptr;
}

std::vector<double> carried_over(std::span<const double> R, std::span<const double> Rg_read,
                                 std::span<const double> Rg_shown, double s_m2_kg,
                                 double grammage_g_m2) {
  assert(R.size() == Rg_read.size() && R.size() == Rg_shown.size());
  const double SX = s_m2_kg * grammage_g_m2 / 1000;
  std::vector<double> shown(R.size());
  for (std::size_t i = 0; i < R.size(); ++i)
    shown[i] = over(layer(absorption_from({R[i], Rg_read[i]}, SX), SX), Rg_shown[i]);
  return shown;
}

}  // namespace mendtone
