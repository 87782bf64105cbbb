#include "app/tissue/sheet_seen.hpp"

#include <algorithm>

#include "app/inputs/text.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/difference.hpp"
#include "mendtone/colour/repeats.hpp"
#include "mendtone/colour/weights.hpp"

namespace mendtone::app {

std::vector<Reading> rows_of(const std::vector<Reading>& readings,
                             std::initializer_list<Role> first,
                             std::initializer_list<Role> otherwise) {
  std::vector<Reading> rows;
  for (const auto& roles : {first, otherwise}) {
    std::copy_if(readings.begin(), readings.end(), std::back_inserter(rows),
                 [&](const Reading& reading) { return has_role(reading, roles); });
    if (!rows.empty()) break;
  }
  return rows;
}

std::vector<std::string> names_in(const std::vector<Reading>& rows) {
  std::vector<std::string> names;
  for (const Reading& row : rows)
    if (std::find(names.begin(), names.end(), row.name) == names.end()) names.push_back(row.name);
  return names;
}

Result<std::vector<Reading>> target_rows(const std::vector<Reading>& readings,
                                         const std::string& name) {
  std::vector<Reading> rows =
      rows_of(readings, {Role::target}, {Role::unstated, Role::swatch, Role::trial});
  if (!name.empty()) {
    const std::vector<std::string> all = names_in(rows.empty() ? readings : rows);
    std::vector<Reading> named;
    for (const auto& from : {rows, readings}) {
      std::copy_if(from.begin(), from.end(), std::back_inserter(named),
                   [&](const Reading& row) { return row.name == name; });
      if (!named.empty()) return named;
    }
    return bad_input("there is no reading of '" + name + "'; there are " + listed(all));
  }
  if (rows.empty()) return bad_input("no reading of a sheet to match was found (role target)");
  const std::vector<std::string> names = names_in(rows);
  if (names.size() > 1)
    return bad_request(
        "there are several sheets to match: " + listed(names) + "; say which one with --spot NAME",
        "--for");
  return rows;
}

Reading manner_of(const SheetReadings& sheet) {
  Reading manner;
  manner.condition = sheet.condition;
  manner.geometry = sheet.geometry;
  return manner;
}

/// Of one name read in several manners, the one that most of the drawer may be compared with.
const SheetReadings& best_manner(const std::vector<SheetReadings>& sheets,
                                 const std::vector<SheetReadings>& tissues) {
  const SheetReadings* best = nullptr;
  long best_score = -1;
  for (const SheetReadings& sheet : sheets) {
    const long comparable = std::count_if(tissues.begin(), tissues.end(), [&](const auto& tissue) {
      return comparability(manner_of(sheet), manner_of(tissue)).allowed();
    });
    const long score = 4 * comparable + 2 * (sheet.state != State::wet) + !sheet.spectral.empty();
    if (score <= best_score) continue;
    best = &sheet;
    best_score = score;
  }
  return *best;
}

std::string manner_in_words(const SheetReadings& sheet) {
  std::vector<std::string> parts;
  if (sheet.condition != Condition::unstated) parts.emplace_back(name_of(sheet.condition));
  if (!sheet.geometry.empty()) parts.push_back(sheet.geometry);
  if (sheet.state != State::unstated) parts.emplace_back(name_of(sheet.state));
  if (!sheet.lot.empty()) parts.push_back("lot " + sheet.lot);
  std::string text;
  for (const std::string& part : parts) text += (text.empty() ? "" : ", ") + part;
  return text.empty() ? "manner not stated" : text;
}

BoundLab mean_lab(const std::vector<Reading>& repeats, std::vector<Lab>* deviations) {
  BoundLab mean = *repeats.front().lab;
  std::vector<Lab> each;
  for (const Reading& reading : repeats)
    each.push_back({reading.lab->L, reading.lab->a, reading.lab->b});
  const Lab middle = robust_mean(each);
  mean.L = middle.L;
  mean.a = middle.a;
  mean.b = middle.b;
  if (deviations != nullptr)
    for (const Reading& reading : repeats)
      deviations->push_back(
          {reading.lab->L - mean.L, reading.lab->a - mean.a, reading.lab->b - mean.b});
  return mean;
}

Result<bool> hides_light(const SheetBody& body, const SheetReadings& sheet) {
  if (std::find(body.opaque.begin(), body.opaque.end(), true) == body.opaque.end()) return false;
  const auto weights = tristimulus_weights(sheet.grid, *standard_light("D65"), Observer::deg10);
  if (!weights) return weights.error();
  std::vector<double> least, most = hidden_transmittance(body, sheet);
  for (std::size_t i = 0; i < most.size(); ++i) {
    least.push_back(body.slab[i].out);
    most[i] = std::max(most[i], least[i]);
  }
  return de00(*weights->lab(least), *weights->lab(most)) > 0.5;
}

namespace {

double L_of(const TristimulusWeights& weights, const std::vector<double>& R) {
  return weights.lab(R)->L;
}

/// What taking a reading over another backing as read may hide, computed for a sheet of that body.
Result<std::string> possible_shift(const SheetReadings& sheet, const SheetReading& reading,
                                   const Backing& over) {
  constexpr double s_m2_kg = 45;  // an aged sheet's order of scattering: maintainers' figure
  const auto weights = tristimulus_weights(sheet.grid, *standard_light("D65"), Observer::deg10);
  if (!weights) return weights.error();
  const double L = L_of(*weights, reading.mean);
  const auto shift = [&](double grammage_g_m2) {
    return fixed_signed(
        L_of(*weights, carried_over(reading.mean, reading.Rg, over.R, s_m2_kg, grammage_g_m2)) - L,
        1);
  };
  if (sheet.grammage_g_m2)
    return "a sheet of its " + shortest(*sheet.grammage_g_m2) + " g/m2 could shift by " +
           shift(*sheet.grammage_g_m2) + " L* there (computed with s = 45 m2/kg)";
  return "a sheet of 35 g/m2 could shift by " + shift(35) + " L* there, one of 80 g/m2 by " +
         shift(80) + " L* (computed with s = 45 m2/kg)";
}

std::string backing_in_words(const std::string& name) {
  return name.empty() ? "a backing not stated" : "'" + name + "'";
}

bool is_front(const SheetReading& reading) {
  return reading.quantity == Quantity::reflectance && reading.side != Side::back;
}

Result<void> see_as_read(const SheetReadings& sheet, const Backing& over, SeenSheet& seen) {
  const SheetReading* reading = read_over(sheet, over.name);
  if (reading == nullptr)
    for (const SheetReading& other : sheet.spectral)
      if (is_front(other) && (reading == nullptr || reading->Rg.empty())) reading = &other;
  if (reading == nullptr)
    return bad_input("'" + sheet.name + "' has no reading in reflection of its front");
  seen.as_read = static_cast<std::size_t>(reading - sheet.spectral.data());
  seen.sheet = Sheet{sheet.grid, reading->mean, {}, {}};
  if (reading->backing == over.name) return {};
  std::string words = "read over " + backing_in_words(reading->backing) + ", shown over " +
                      backing_in_words(over.name) + ": taken as read";
  if (!reading->Rg.empty() && !over.R.empty()) {
    const auto shift = possible_shift(sheet, *reading, over);
    if (!shift) return shift.error();
    words += "; " + *shift;
  }
  seen.warnings.push_back({words + "; read it over a second backing", sheet.name});
  return {};
}

void see_lab(const SheetReadings& sheet, const Backing& over, SeenSheet& seen) {
  seen.lab = mean_lab(sheet.lab_only, &seen.lab_deviations);
  std::vector<Lab> each;
  for (const Reading& reading : sheet.lab_only)
    each.push_back({reading.lab->L, reading.lab->a, reading.lab->b});
  for (const Outlier& one : outliers(each))
    seen.warnings.push_back({"repeat " + repeat_label({sheet.lab_only}, one.index) +
                                 " stands apart (" + fixed(one.de00, 1) +
                                 " DeltaE00 from the median) and is left out of the mean; read it "
                                 "again",
                             sheet.name});
  const std::string& read = sheet.lab_only.front().backing;
  seen.warnings.push_back({"L*a*b* only: compared under its own light and observer, " +
                               seen.lab.light + ", " + std::to_string(seen.lab.observer_deg) +
                               " degrees; other lights, the light sheet and tissue over or under "
                               "the sheet need a spectrum",
                           sheet.name});
  if (read != over.name)
    seen.warnings.push_back({"read over " + backing_in_words(read) + ", shown over " +
                                 backing_in_words(over.name) +
                                 ": taken as read; L*a*b* cannot be carried to another backing",
                             sheet.name});
}

}  // namespace

Result<SeenSheet> seen_over(const SheetReadings& sheet, const Backing& behind,
                            const Surfaces& surfaces, LayerModel model) {
  if (sheet.state == State::wet)
    return bad_input("'" + sheet.name + "' was read wet; a tone is matched dry");
  SeenSheet seen;
  if (sheet.spectral.empty()) {
    see_lab(sheet, behind, seen);
    return seen;
  }
  auto found = body_of(sheet, surfaces, model);
  if (!found) return found.error();
  seen.why_no_body = found->why_not;
  if (!found->body || (behind.R.empty() && read_over(sheet, behind.name) != nullptr)) {
    if (const auto read = see_as_read(sheet, behind, seen); !read) return read.error();
    return seen;
  }
  if (behind.R.empty())
    return bad_request("'" + sheet.name +
                           "' was read over several backings; say which of them, or what else, "
                           "lies behind when it is shown",
                       "--over");
  seen.body = std::move(found->body);
  seen.sheet = Sheet{sheet.grid, {}, seen.body->slab, seen.body->opaque};
  const auto hides = hides_light(*seen.body, sheet);
  if (!hides) return bad_input(hides.error().message, sheet.name);
  if (!*hides) seen.sheet->opaque.assign(sheet.grid.size(), false);
  for (std::size_t i = 0; i < behind.R.size(); ++i)
    seen.sheet->seen.push_back(over(seen.sheet->body[i], behind.R[i]) +
                               surfaces.interface.seen_gloss());
  for (const auto& told : {in_words(seen.body->counts), seen.body->warnings})
    for (const std::string& words : told) seen.warnings.push_back({words, sheet.name});
  return seen;
}

std::string light_sheet_why(const Sheet& sheet, const std::string& why_no_body) {
  if (sheet.body.empty() && !why_no_body.empty()) return "the sheet was " + why_no_body;
  return light_sheet_unknown(sheet);
}

bool may_be_coloured(bool film, Role role) {
  if (film) return role != Role::target && role != Role::backing;
  return role == Role::tissue || role == Role::substrate || role == Role::unstated;
}

Result<std::vector<Reading>> coloured_rows(const std::vector<Reading>& readings,
                                           const std::string& name, bool film) {
  std::vector<Reading> rows;
  for (Role role : {Role::tissue, Role::unstated, Role::substrate, Role::swatch, Role::trial}) {
    if (!may_be_coloured(film, role)) break;
    for (const Reading& r : readings)
      if (r.role == role && (name.empty() || r.name == name)) rows.push_back(r);
    if (!rows.empty()) break;
  }
  const std::vector<std::string> names = names_in(rows);
  if (names.empty())
    return bad_input("no reading of " + std::string(film ? "the fill" : "the tissue") +
                         (name.empty() ? std::string() : " '" + name + "'") +
                         " was found (role tissue)",
                     "--on");
  if (names.size() > 1)
    return bad_request("there are several: " + listed(names) + "; say which with --tissue", "--on");
  return rows;
}

namespace {

/// The backings under which the fill's front was read, each once; an unstated one has no name.
std::vector<std::string> backings_of(const SheetReadings& sheet) {
  std::vector<std::string> names;
  for (const SheetReading& r : sheet.spectral)
    if (is_front(r) && std::find(names.begin(), names.end(), r.backing) == names.end())
      names.push_back(r.backing);
  return names;
}

}  // namespace

Result<Backing> behind_fill(const SheetReadings& fill, std::string name, const Backings& backings,
                            const WavelengthGrid& grid) {
  const std::vector<std::string> read = backings_of(fill);
  if (name.empty() && read.size() > 1)
    return bad_request("the fill was read over " + listed(read) +
                           "; say which of them lies behind it when it is shown",
                       "--over");
  if (name.empty() && !read.empty()) name = read.front();
  const bool there = std::find(read.begin(), read.end(), name) != read.end();
  auto found = backings.find(name, grid);
  if (found && !(found->nominal && there)) return *std::move(found);
  if (there) return Backing{name, {}, false, {}};
  return no_backing(name, backings.names_behind(false));
}

Result<std::vector<double>> fill_over(const SheetReadings& fill, const Backing& behind) {
  if (fill.state == State::wet)
    return bad_input("read wet; only dry readings can be planned with", fill.name);
  if (fill.spectral.empty())
    return bad_input("has L*a*b* only; a film needs the fill's spectrum", fill.name);
  std::vector<const SheetReading*> there;
  for (const SheetReading& r : fill.spectral)
    if (is_front(r) && r.backing == behind.name) there.push_back(&r);
  if (there.size() > 1)
    return bad_request(
        "was read in several numbers of plies; give the reading of the fill in place alone",
        fill.name);
  if (there.size() == 1) return there.front()->mean;
  auto found = body_of(fill);
  if (!found) return found.error();
  if (!found->body)
    return bad_input("the fill was not read over '" + behind.name + "', and " + found->why_not,
                     fill.name);
  std::vector<double> R;
  for (std::size_t i = 0; i < behind.R.size(); ++i)
    R.push_back(over(found->body->slab[i], behind.R[i]));
  return R;
}

Result<Backing> behind_wash(const std::string& name, const Backings& backings,
                            const Palette& palette, bool lining) {
  std::vector<std::string> names = backings.names_behind(lining);
  for (const auto& [known, R] : palette.backings)
    if (std::find(names.begin(), names.end(), known) == names.end()) names.push_back(known);
  if (name.empty())
    return bad_request("say what lies behind when it is shown: a backing's name" +
                           (names.empty() ? std::string() : "; there are " + listed(names)),
                       "--over");
  auto found = backings.find(name, palette.grid);
  const auto kept = palette.backings.find(name);
  if ((!found || found->nominal) && kept != palette.backings.end())
    return Backing{name, kept->second, false, {}};
  if (found) return *std::move(found);
  return no_backing(name, names);
}

std::vector<Warning> warnings_of(const Backing& behind) {
  std::vector<Warning> warnings;
  for (const std::string& words : behind.warnings) warnings.push_back({words, "--over"});
  if (behind.nominal)
    warnings.push_back({"a nominal backing, not read: read the real one and name it", behind.name});
  return warnings;
}

Error only_as_lining(const std::string& name) {
  return bad_request("'" + name +
                         "' is a bare tissue, which lies behind a sheet only as its lining; name "
                         "the backing that lies behind it when it is shown",
                     "--over");
}

Error no_backing(const std::string& name, const std::vector<std::string>& known) {
  return bad_input("no reading of the backing '" + name + "' was found; there are " +
                       (known.empty() ? std::string("none") : listed(known)),
                   "--over");
}

Result<std::vector<Brightener>> flagged_brighteners(const std::vector<Reading>& readings) {
  auto found = brighteners(group_repeats(readings));
  if (!found) return found.error();
  found->erase(std::remove_if(found->begin(), found->end(),
                              [](const Brightener& one) { return !one.flagged; }),
               found->end());
  return found;
}

Warning warning_of(const Brightener& found) {
  return {"a brightener was found (M1 against M2: " + fixed(found.de00, 2) + " DeltaE00, b* " +
              fixed_signed(found.db, 2) +
              "): under any light but D50 its colour is not predictable",
          found.name};
}

bool view_under_readings_light(Viewing& viewing) {
  std::vector<Light>& lights = viewing.lights;
  const auto known = std::find_if(lights.begin(), lights.end(),
                                  [](const Light& light) { return is_readings_light(light.name); });
  if (known == lights.begin() && known != lights.end()) return false;
  if (known == lights.end())
    lights.insert(lights.begin(), *standard_light("D50"));
  else
    std::rotate(lights.begin(), known, known + 1);
  return true;
}

}  // namespace mendtone::app
