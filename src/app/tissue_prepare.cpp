#include <algorithm>
#include <cmath>

#include "app/text.hpp"
#include "app/tissue_prepared.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/difference.hpp"
#include "mendtone/colour/weights.hpp"
#include "mendtone/optics/inversion.hpp"
#include "mendtone/spectral/comparable.hpp"

namespace mendtone::app {
namespace {

using Prepared = TissueBench::Prepared;

std::string full_name(const SheetReadings& sheet) {
  std::string name = sheet.name;
  if (!sheet.lot.empty()) name += " (lot " + sheet.lot + ")";
  if (sheet.state != State::unstated && sheet.state != State::dry)
    name += ", " + std::string(name_of(sheet.state));
  return name;
}

/// Only what forbids comparing two different sheets: how they were measured.
Reading manner_of(const SheetReadings& sheet) {
  Reading manner;
  manner.condition = sheet.condition;
  manner.geometry = sheet.geometry;
  return manner;
}

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

Result<std::vector<Reading>> target_rows(const TissueMaterial& material) {
  std::vector<Reading> rows =
      rows_of(material.target, {Role::target}, {Role::unstated, Role::swatch, Role::trial});
  if (!material.target_name.empty()) {
    const std::vector<std::string> all = names_in(rows.empty() ? material.target : rows);
    std::vector<Reading> named;
    for (const auto& from : {rows, material.target}) {
      std::copy_if(from.begin(), from.end(), std::back_inserter(named),
                   [&](const Reading& row) { return row.name == material.target_name; });
      if (!named.empty()) return named;
    }
    return bad_input("there is no reading of '" + material.target_name + "'; there are " +
                     listed(all));
  }
  if (rows.empty()) return bad_input("no reading of a sheet to match was found (role target)");
  const std::vector<std::string> names = names_in(rows);
  if (names.size() > 1)
    return bad_request(
        "there are several sheets to match: " + listed(names) + "; say which one with --spot NAME",
        "--for");
  return rows;
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

Result<Backing> backing_of_use(const TissueMaterial& material, const Backings& backings,
                               const SheetReadings& target, const WavelengthGrid& grid) {
  Reading probe = manner_of(target);
  probe.backing = material.over;
  if (!target.spectral.empty()) probe.source.file = target.spectral.front().source.file;
  if (auto found = backings.find(probe, grid)) return *std::move(found);
  const std::vector<std::string> names = backings.names();
  return bad_input("no reading of the backing '" + material.over + "' was found; there are " +
                       (names.empty() ? std::string("none") : listed(names)),
                   "--over");
}

/// Where light matters little, at the ends of the spectrum, opaque bands hide nothing that an eye
/// would see on the light sheet: whether that is so, by what they could let through at most.
Result<bool> hides_light(const SheetBody& body, const SheetReadings& sheet) {
  if (std::find(body.opaque.begin(), body.opaque.end(), true) == body.opaque.end()) return false;
  const auto weights = tristimulus_weights(sheet.grid, *standard_light("D65"), Observer::deg10);
  if (!weights) return weights.error();
  std::vector<double> least, most = hidden_transmittance(body, sheet);
  for (std::size_t i = 0; i < most.size(); ++i) {
    least.push_back(body.slab[i].T);
    most[i] = std::max(most[i], least[i]);
  }
  return de00(weights->lab(least), weights->lab(most)) > 0.5;
}

/// The counts of a body's bands, for the tissues that they are true of.
void count_bands(const BandCounts& counts, const std::string& tissue, SharedWords& words) {
  if (counts.opaque > 0)
    words.add("opaque (the two readings differ by less than 0.001, S is not determined)",
              counts.opaque, counts.bands, tissue);
  if (counts.no_absorption > 0)
    words.add("the readings asked for absorption below 0, and 0 was used,", counts.no_absorption,
              counts.bands, tissue);
  if (counts.no_scattering > 0)
    words.add("the readings asked for scattering below 0, and 0 was used,", counts.no_scattering,
              counts.bands, tissue);
  if (counts.worst_misfit > reading_noise)
    words.add("the body misses its own readings by more than noise explains (" +
                  fixed(counts.worst_misfit, 3) + ")",
              tissue);
}

double L_of(const TristimulusWeights& weights, const std::vector<double>& R) {
  return weights.lab(R).L;
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

Result<void> see_once(Prepared& made) {
  const SheetReadings& target = made.target;
  const SheetReading* reading = read_over(target, made.over.name);
  if (reading == nullptr)
    for (const SheetReading& other : target.spectral)
      if (other.quantity == Quantity::reflectance && other.side != Side::back &&
          (reading == nullptr || reading->Rg.empty()))
        reading = &other;
  if (reading == nullptr)
    return bad_input("'" + target.name + "' has no reading in reflection of its front");
  made.target_as_read = static_cast<std::size_t>(reading - target.spectral.data());
  made.sheet = Sheet{made.grid, reading->mean, {}, {}};
  if (reading->backing == made.over.name) return {};
  const std::string read =
      reading->backing.empty() ? "a backing not stated" : "'" + reading->backing + "'";
  std::string words = "read over " + read + ", shown over '" + made.over.name + "': taken as read";
  if (!reading->Rg.empty()) {
    const auto shift = possible_shift(target, *reading, made.over);
    if (!shift) return shift.error();
    words += "; " + *shift;
  }
  made.warnings.push_back({words + "; read it over a second backing", target.name});
  return {};
}

Result<void> see_sheet(Prepared& made) {
  SheetReadings& target = made.target;
  if (target.state == State::wet)
    return bad_input("'" + target.name + "' was read wet; a tone is matched dry");
  if (target.spectral.empty()) {
    made.target_lab = mean_lab(target.lab_only, &made.target_lab_strays);
    const std::string& read = target.lab_only.front().backing;
    made.warnings.push_back({"L*a*b* only: ranked under its own light and observer, " +
                                 made.target_lab.light + ", " +
                                 std::to_string(made.target_lab.observer_deg) +
                                 " degrees; other lights, the light sheet and tissue over or under "
                                 "the sheet need a spectrum",
                             target.name});
    if (read != made.over.name)
      made.warnings.push_back({"read over " +
                                   (read.empty() ? "a backing not stated" : "'" + read + "'") +
                                   ", shown over '" + made.over.name +
                                   "': taken as read; L*a*b* cannot be carried to another backing",
                               target.name});
    return {};
  }
  auto found = body_of(target, made.surfaces);
  if (!found) return found.error();
  if (!found->body) return see_once(made);
  made.target_body = std::move(found->body);
  made.sheet = Sheet{made.grid, {}, made.target_body->slab, made.target_body->opaque};
  const auto hides = hides_light(*made.target_body, target);
  if (!hides) return bad_input(hides.error().message, target.name);
  if (!*hides) made.sheet->opaque.assign(made.grid.size(), false);
  for (std::size_t i = 0; i < made.over.R.size(); ++i)
    made.sheet->seen.push_back(over(made.sheet->body[i], made.over.R[i]) +
                               made.surfaces.interface.seen_gloss());
  for (const auto& told : {in_words(made.target_body->counts), made.target_body->warnings})
    for (const std::string& words : told) made.warnings.push_back({words, target.name});
  return {};
}

/// The piles of 1, 2 … plies, in air.
std::vector<std::vector<Slab>> piles_of(const SheetBody& body, const Surfaces& surfaces) {
  std::vector<std::vector<Slab>> piles{body.slab};
  for (int n = 2; n <= most_plies_prepared; ++n) {
    if (body.ply) {
      piles.push_back(piled(*body.ply, n, surfaces));
      continue;
    }
    piles.push_back(piles.back());
    for (std::size_t i = 0; i < body.slab.size(); ++i)
      piles.back()[i] = in_front(body.slab[i], piles.back()[i]);
  }
  return piles;
}

/// Takes a tissue read once over the backing of use; false where it was not.
bool take_as_read(Prepared& made, const SheetReadings& sheet) {
  bool taken = false;
  for (std::size_t i = 0; i < sheet.spectral.size(); ++i) {
    const SheetReading& reading = sheet.spectral[i];
    if (reading.quantity != Quantity::reflectance || reading.backing != made.over.name ||
        reading.side == Side::back || reading.plies > most_plies_prepared)
      continue;
    std::vector<double> R = reading.mean;
    for (double& value : R) value -= made.surfaces.interface.seen_gloss();
    made.drawer->add_as_read(R, reading.plies);
    made.tissues.push_back({sheet, std::nullopt, i, std::nullopt, false});
    taken = true;
  }
  if (taken || !sheet.spectral.empty()) return taken;
  for (const Repeats& repeats : group_repeats(sheet.lab_only)) {
    if (repeats.first().backing != made.over.name) continue;
    made.lab_tissues.push_back(
        {sheet, mean_lab(repeats.readings), repeats.first().plies.value_or(1)});
    taken = true;
  }
  return taken;
}

void take(Prepared& made, const SheetReadings& sheet, SharedWords& words) {
  const auto leave = [&](const std::string& why) {
    made.left_out.push_back({full_name(sheet), why});
  };
  if (sheet.state == State::wet) return leave("read wet; read it dry");
  const Comparability manner = comparability(manner_of(made.target), manner_of(sheet));
  if (!manner.allowed())
    return leave("cannot be compared with the sheet: " + manner.refusals.front());
  for (const std::string& warning : manner.warnings)
    words.add("compared with the sheet all the same: " + warning, sheet.name);
  for (const std::string& warning : sheet.warnings) words.add(warning, sheet.name);
  auto found = body_of(sheet, made.surfaces);
  if (!found) return leave(found.error().text());
  if (!found->body) {
    if (!take_as_read(made, sheet))
      leave(found->why_not + "; over '" + made.over.name +
            "', the backing of use, one reading would do");
    return;
  }
  for (const std::string& warning : found->body->warnings) words.add(warning, sheet.name);
  count_bands(found->body->counts, sheet.name, words);
  const auto hides = hides_light(*found->body, sheet);
  if (!hides) return leave(hides.error().message);
  if (sheet.state == State::pasted)
    made.pasted.push_back({sheet.name, sheet.lot, piles_of(*found->body, made.surfaces)});
  made.drawer->add_piles(piles_of(*found->body, made.surfaces), *hides);
  made.tissues.push_back({sheet, std::move(found->body), 0, std::nullopt, false});
}

/// Joins dry tissues with the same lot pasted.
void pair_pasted(Prepared& made) {
  for (DrawerTissue& tissue : made.tissues)
    for (std::size_t i = 0; i < made.pasted.size(); ++i)
      if (tissue.sheet.state != State::pasted && made.pasted[i].name == tissue.sheet.name &&
          made.pasted[i].lot == tissue.sheet.lot)
        tissue.pasted = i;
}

Result<void> look_for_brighteners(Prepared& made, const std::vector<Reading>& readings) {
  const std::vector<Repeats> groups = group_repeats(readings);
  const auto found = brighteners(groups);
  if (!found) return found.error();
  for (const Brightener& one : *found) {
    if (!one.flagged) continue;
    made.target_brightener = made.target_brightener || one.name == made.target.name;
    for (DrawerTissue& tissue : made.tissues)
      tissue.brightener = tissue.brightener || tissue.sheet.name == one.name;
    made.warnings.push_back({"a brightener was found (M1 against M2: " + fixed(one.de00, 2) +
                                 " DeltaE00, b* " + fixed_signed(one.db, 2) +
                                 "): under any light but D50 its colour is not predictable",
                             one.name});
  }
  return {};
}

Error nothing_to_rank(const Prepared& made) {
  std::string words = "no tissue can be ranked";
  for (std::size_t i = 0; i < made.left_out.size() && i < 5; ++i)
    words += (i == 0 ? ": " : "; ") + made.left_out[i].tissue + ": " + made.left_out[i].reason;
  if (made.left_out.empty()) words += ": no reading of a tissue was found (role tissue)";
  return bad_input(words, "--from");
}

}  // namespace

SharedWords::Said& SharedWords::said(const std::string& words, const std::string& tissue) {
  auto known =
      std::find_if(all_.begin(), all_.end(), [&](const Said& one) { return one.words == words; });
  if (known == all_.end()) known = all_.insert(all_.end(), {words, {}, 0, 0, 0});
  if (known->tissues.empty() || known->tissues.back() != tissue) known->tissues.push_back(tissue);
  return *known;
}

void SharedWords::add(const std::string& words, const std::string& tissue) {
  said(words, tissue);
}

void SharedWords::add(const std::string& words, std::size_t count, std::size_t bands,
                      const std::string& tissue) {
  Said& one = said(words, tissue);
  one.fewest = one.fewest == 0 ? count : std::min(one.fewest, count);
  one.most = std::max(one.most, count);
  one.bands = bands;
}

std::vector<Warning> SharedWords::told() const {
  std::vector<Warning> warnings;
  for (const Said& one : all_) {
    std::string words = one.words;
    if (one.bands > 0)
      words += " in " + (one.fewest < one.most ? std::to_string(one.fewest) + "-" : "") +
               std::to_string(one.most) + " of " + std::to_string(one.bands) + " bands";
    const std::size_t others = one.tissues.size() - 1;
    warnings.push_back(
        {words, others < 3 ? listed(one.tissues)
                           : one.tissues.front() + " and " + std::to_string(others) + " more"});
  }
  return warnings;
}

BoundLab mean_lab(const std::vector<Reading>& repeats, std::vector<Lab>* strays) {
  BoundLab mean = *repeats.front().lab;
  mean.L = mean.a = mean.b = 0;
  const double n = static_cast<double>(repeats.size());
  for (const Reading& reading : repeats) {
    mean.L += reading.lab->L / n;
    mean.a += reading.lab->a / n;
    mean.b += reading.lab->b / n;
  }
  if (strays != nullptr)
    for (const Reading& reading : repeats)
      strays->push_back(
          {reading.lab->L - mean.L, reading.lab->a - mean.a, reading.lab->b - mean.b});
  return mean;
}

Result<TissueBench> TissueBench::prepare(TissueMaterial material) {
  const auto rows = target_rows(material);
  if (!rows) return rows.error();
  const std::vector<Reading> tissue_rows =
      rows_of(material.tissues, {Role::tissue}, {Role::unstated, Role::swatch, Role::trial});
  std::vector<Reading> all = material.target;
  all.insert(all.end(), material.tissues.begin(), material.tissues.end());
  const auto backings = Backings::from(all);
  if (!backings) return backings.error();
  auto grid = first_grid(*rows);
  if (!grid) grid = first_grid(tissue_rows);
  if (!grid) grid = WavelengthGrid::equal_steps(380, 10, 36);  // everything is L*a*b*

  auto made = std::make_shared<Prepared>();
  made->grid = *grid;
  made->surfaces = material.surfaces;
  made->warnings = std::move(material.warnings);
  made->drawer.emplace(*grid, most_plies_prepared);
  const auto tissues = sheets_of(tissue_rows, *backings, *grid);
  made->drawer->reserve(tissues.size());
  const auto targets = sheets_of(*rows, *backings, *grid);
  made->target = best_manner(targets, tissues);
  if (targets.size() > 1)
    made->warnings.push_back(
        {"read in several manners; used: " + manner_in_words(made->target), made->target.name});
  for (const std::string& words : made->target.warnings)
    made->warnings.push_back({words, made->target.name});
  auto over = backing_of_use(material, *backings, made->target, *grid);
  if (!over) return over.error();
  made->over = *std::move(over);
  for (const std::string& words : made->over.warnings) made->warnings.push_back({words, "--over"});
  if (const auto seen = see_sheet(*made); !seen) return seen.error();

  SharedWords words;
  for (const SheetReadings& tissue : tissues) take(*made, tissue, words);
  for (Warning& warning : words.told()) made->warnings.push_back(std::move(warning));
  if (made->tissues.empty() && made->lab_tissues.empty()) return nothing_to_rank(*made);
  pair_pasted(*made);
  if (const auto looked = look_for_brighteners(*made, all); !looked) return looked.error();
  TissueBench bench;
  bench.prepared_ = std::move(made);
  return bench;
}

}  // namespace mendtone::app
