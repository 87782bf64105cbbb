#include <algorithm>
#include <cmath>

#include "app/inputs/text.hpp"
#include "app/tissue/sheet_seen.hpp"
#include "app/tissue/tissue_prepared.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/optics/inversion.hpp"
#include "mendtone/spectral/comparable.hpp"
#include "mendtone/spectral/geometry.hpp"

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

Result<Backing> backing_of_use(const TissueMaterial& material, const Backings& backings,
                               const SheetReadings& target, const WavelengthGrid& grid) {
  Reading probe = manner_of(target);
  probe.backing = material.over;
  if (!target.spectral.empty()) probe.source.file = target.spectral.front().source.file;
  if (auto found = backings.find(probe, grid)) return *std::move(found);
  return no_backing(material.over, backings.names_behind(material.lining));
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

Result<void> see_sheet(Prepared& made) {
  auto seen = seen_over(made.target, made.over, made.surfaces, many_fluxes_of(made.target));
  if (!seen) return seen.error();
  made.sheet = std::move(seen->sheet);
  made.target_body = std::move(seen->body);
  made.target_as_read = seen->as_read;
  made.why_no_body = seen->why_no_body;
  made.target_lab = std::move(seen->lab);
  made.target_lab_deviations = std::move(seen->lab_deviations);
  for (Warning& warning : seen->warnings) made.warnings.push_back(std::move(warning));
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
  auto found = body_of(sheet, made.surfaces, many_fluxes_of(sheet));
  if (!found) return leave(found.error().text());
  if (!found->body) {
    if (!take_as_read(made, sheet))
      leave(found->why_not + "; over '" + made.over.name +
            "', the backing of use, one reading would do");
    return;
  }
  for (const std::string& warning : found->body->warnings) words.add(warning, sheet.name);
  if (geometry_of(sheet.geometry) == Geometry::unknown)
    words.add("the readings do not state their geometry, so 45:0 was taken,", sheet.name);
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
  const auto found = flagged_brighteners(readings);
  if (!found) return found.error();
  for (const Brightener& one : *found) {
    made.target_brightener = made.target_brightener || one.name == made.target.name;
    for (DrawerTissue& tissue : made.tissues)
      tissue.brightener = tissue.brightener || tissue.sheet.name == one.name;
    made.warnings.push_back(warning_of(one));
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

Result<TissueBench> TissueBench::prepare(TissueMaterial material) {
  const auto rows = target_rows(material.target, material.target_name);
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
  made->entered = std::move(material.entered);
  made->drawer_entered = std::move(material.drawer_entered);
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
  made->over_is_tissue = backings->is_tissue(made->over.name);
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
