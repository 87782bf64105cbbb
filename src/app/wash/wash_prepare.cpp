#include "app/wash/wash_prepare.hpp"

#include <algorithm>

#include "app/inputs/text.hpp"
#include "app/tissue/sheet_seen.hpp"
#include "app/wash/stocks.hpp"
#include "app/wash/wash_care.hpp"
#include "mendtone/app/wash/palette.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::app {
namespace {

/// Everything read, on its way to a problem.
struct WashWork {
  const WashRequest& request;
  const InputPlace& place;
  PreparedWash made;
  std::vector<Reading> target_rows, tissue_rows, all;
  SheetReadings target;
  std::optional<SheetReadings> tissue;  ///< nothing: the calibration's own
  SeenSheet seen;
  Backing over;

  WashProblem& problem() { return made.state.problem; }
  const WavelengthGrid& grid() { return problem().palette.grid; }
  bool film() { return problem().palette.application == Application::film; }
  void warn(std::string text, std::string where = {}) {
    made.warnings.push_back({std::move(text), std::move(where)});
  }
  void warn_all(const std::vector<Warning>& more) {
    made.warnings.insert(made.warnings.end(), more.begin(), more.end());
  }
};

Result<void> check_application(const WashRequest& request, const Palette& palette) {
  if (!request.application || *request.application == palette.application) return {};
  if (palette.application == Application::film)
    return bad_input("these colorants were calibrated as a film on '" + palette.substrate +
                         "'; that says nothing of tissue that takes a wash up. For toning, "
                         "calibrate ladders of toned tissue (colorant --application absorbed)",
                     request.palette);
  return bad_input("these colorants were calibrated as a wash that '" + palette.substrate +
                       "' takes up; that says nothing of a film on top. For retouching, calibrate "
                       "ladders painted on a support (colorant --application film)",
                   request.palette);
}

/// What only toning in a bath, away from the object, can be asked for.
Result<void> check_film(const WashRequest& q) {
  if (q.method == Method::bath)
    return bad_request(
        "a film is laid on with the brush; a bath is for tissue, away from the object", "--method");
  if (q.use != Use::loss)
    return bad_request("a film lies on the fill of a loss, inside its edge; a " +
                           std::string(name_of(q.use)) + " is not retouched as one",
                       "--use");
  if (q.plies != 1)
    return bad_request(
        "a film lies on the fill as it was read, however many plies it has; leave "
        "the plies out",
        "--plies");
  if (q.tray_ml > 0) return bad_request("a film needs no tray", "--tray");
  if (q.pick_up_ml_m2)
    return bad_request("a film takes all of the volume that is brushed on; a pick-up is a bath's",
                       "--pick-up");
  if (!q.let_down.empty() || !q.gaps.empty())
    return bad_request("only a bath is let down for paler sheets", "--let-down");
  return {};
}

/// Under one of them, an option of the other means nothing.
Result<void> check_method(const WashRequest& q, Application application) {
  if (application == Application::film)
    if (const auto fits = check_film(q); !fits) return fits.error();
  const bool brush = q.method == Method::brush || application == Application::film;
  if (!brush && q.laid_ml)
    return bad_request("a bath is not laid down; say with --method brush that it is brushed on",
                       "--lay");
  return {};
}

Result<void> read_target(WashWork& work) {
  std::vector<std::string> files{work.request.target};
  files.insert(files.end(), work.request.backings.begin(), work.request.backings.end());
  auto file = load({std::move(files), work.request.scale}, work.place);
  if (!file) return file.error();
  work.warn_all(file->warnings);
  work.all = file->readings;
  auto rows = target_rows(file->readings, work.request.target_name);
  if (!rows) return rows.error();
  work.target_rows = *std::move(rows);
  work.made.state.target = work.target_rows.front().name;
  return {};
}

Error original_paper(WashWork& work, const std::string& name) {
  if (work.film())
    return bad_request("'" + name +
                           "' is the original paper. A film is planned for the fill only, inside "
                           "its edge: give the readings of the fill in place (role tissue)",
                       "--on");
  return bad_request(
      "'" + name +
          "' is the original paper. A wash or bath is planned for added material only: tissue that "
          "is toned and dried away from the object. For retouching, give the fill already in place "
          "and colorants that were calibrated as a film",
      "--on");
}

/// Named instead of read: a row of the files, or the calibration's own tissue. True where that
/// settles it.
Result<bool> named_tissue(WashWork& work) {
  const WashRequest& q = work.request;
  const Palette& palette = work.problem().palette;
  for (const Reading& r : work.all)
    if (r.name == q.on && (work.film() ? r.role != Role::unstated && may_be_coloured(true, r.role)
                                       : r.role == Role::tissue))
      work.tissue_rows.push_back(r);
  if (!work.tissue_rows.empty()) return true;
  for (const Reading& r : work.all)
    if (r.name == q.on && r.role == Role::target) return original_paper(work, q.on);
  if (q.on == palette.substrate && !work.film()) return true;
  if (!work.place.record.empty() || work.place.only) return false;
  if (work.film())
    return bad_input(
        "there is no file and no reading of that name; a film lies on the fill, whose "
        "own reading is needed",
        "--on " + q.on);
  return bad_input("there is no file and no tissue of that name; the calibration was made on '" +
                       palette.substrate + "'",
                   "--on " + q.on);
}

Result<void> read_tissue(WashWork& work) {
  const WashRequest& q = work.request;
  const Palette& palette = work.problem().palette;
  if (!is_file(q.on, work.place)) {
    const auto named = named_tissue(work);
    if (!named) return named.error();
    if (*named) return {};
  }
  auto file = load({{q.on}, q.scale}, work.place);
  if (!file) return file.error();
  const bool same_file = q.on == q.target;
  if (!same_file) {
    work.warn_all(file->warnings);
    work.all.insert(work.all.end(), file->readings.begin(), file->readings.end());
  }
  const auto any = [&](auto&& holds) {
    return std::any_of(file->readings.begin(), file->readings.end(), holds);
  };
  if (any([](const Reading& r) { return r.role == Role::target; }) &&
      !any([&](const Reading& r) { return may_be_coloured(work.film(), r.role); }))
    return original_paper(work, work.made.state.target);
  std::string name = q.on_name;
  if (name.empty() && !work.film() &&
      any([&](const Reading& r) { return r.role == Role::tissue && r.name == palette.substrate; }))
    name = palette.substrate;
  if (!name.empty() &&
      any([&](const Reading& r) { return r.name == name && r.role == Role::target; }))
    return original_paper(work, name);
  auto rows = coloured_rows(file->readings, name, work.film());
  if (!rows) return rows.error();
  // The same reading named as sheet and as tissue is the sheet, whatever its role says.
  if (same_file && rows->front().name == work.made.state.target)
    return original_paper(work, work.made.state.target);
  work.tissue_rows = *std::move(rows);
  return {};
}

/// Sheet and tissue, each in the manner in which they may be compared.
Result<void> choose_manners(WashWork& work, const Backings& backings) {
  const auto targets = sheets_of(work.target_rows, backings, work.grid());
  const auto tissues = sheets_of(work.tissue_rows, backings, work.grid());
  work.target = best_manner(targets, tissues);
  if (targets.size() > 1)
    work.warn("read in several manners; used: " + manner_in_words(work.target), work.target.name);
  for (const std::string& words : work.target.warnings) work.warn(words, work.target.name);
  if (tissues.empty()) return {};
  work.tissue = best_manner(tissues, {work.target});
  const SheetReadings& tissue = *work.tissue;
  if (tissues.size() > 1)
    work.warn("read in several manners; used: " + manner_in_words(tissue), tissue.name);
  for (const std::string& words : tissue.warnings) work.warn(words, tissue.name);
  if (tissue.state == State::wet)
    return bad_input("read wet; only dry readings can be planned with", tissue.name);
  const Comparability like = comparability(manner_of(work.target), manner_of(tissue));
  if (!like.allowed())
    return bad_input("cannot be compared with the sheet: " + like.refusals.front(), tissue.name);
  for (const std::string& words : like.warnings)
    work.warn("compared with the sheet all the same: " + words, tissue.name);
  return {};
}

Result<void> find_backing(WashWork& work, const Backings& backings) {
  if (work.request.use != Use::lining && backings.is_tissue(work.request.over))
    return only_as_lining(work.request.over);
  auto found = work.film() ? behind_fill(*work.tissue, work.request.over, backings, work.grid())
                           : behind_wash(work.request.over, backings, work.problem().palette,
                                         work.request.use == Use::lining);
  if (!found) return found.error();
  work.over = *std::move(found);
  work.made.state.over = work.over.name;
  work.warn_all(warnings_of(work.over));
  return {};
}

/// The sheet over the backing of use, by its body or as read.
Result<void> see_sheet(WashWork& work, const Backings&) {
  auto seen = seen_over(work.target, work.over, {}, many_fluxes_of(work.target));
  if (!seen) return seen.error();
  work.warn_all(seen->warnings);
  work.seen = *std::move(seen);
  return {};
}

Result<void> put_fill(WashWork& work) {
  auto below = fill_over(*work.tissue, work.over);
  if (!below) return below.error();
  work.problem().place.grid = work.grid();
  work.problem().place.below = *std::move(below);
  return {};
}

/// The tissue's own ply, into which a wash goes.
Result<void> put_ply(WashWork& work) {
  const SheetReadings& tissue = *work.tissue;
  auto found = body_of(tissue, {}, work.problem().palette.model);
  if (!found) return found.error();
  if (!found->body) return bad_input(found->why_not, tissue.name);
  if (!found->body->ply)
    return bad_input("its two faces differ; a wash is planned for a sheet that is alike on both",
                     tissue.name);
  work.problem().palette.ply = *found->body->ply;
  return {};
}

/// What is coloured, and whether the calibration was made on it.
Result<void> put_tissue(WashWork& work, const Backings&) {
  WashState& state = work.made.state;
  const Palette& palette = state.problem.palette;
  state.tissue = palette.substrate;
  if (!work.tissue) return {};
  const SheetReadings& tissue = *work.tissue;
  state.tissue = tissue.name;
  if (const auto put = work.film() ? put_fill(work) : put_ply(work); !put) return put.error();
  const bool other = tissue.name != palette.substrate ||
                     (!tissue.lot.empty() && !palette.lot.empty() && tissue.lot != palette.lot);
  if (!other) return {};
  state.another_lot_de00 = 1;
  const std::string takes = work.film() ? "another surface takes a film otherwise"
                                        : "another tissue or lot takes them up differently";
  work.warn("the colorants were calibrated on '" + palette.substrate + "'" +
                (palette.lot.empty() ? std::string() : " lot " + palette.lot) + "; " + takes +
                ": 1 DeltaE00 is added to the uncertainty (maintainers' figure). One trial swatch "
                "will tell",
            tissue.name);
  return {};
}

/// A brightener in the sheet or in what is coloured: only the reading's own light can be trusted.
Result<void> look_for_brighteners(WashWork& work) {
  const auto found = flagged_brighteners(work.all);
  if (!found) return found.error();
  std::vector<std::string>& flagged = work.made.state.brightener;
  const auto flag = [&](const std::string& name) {
    if (std::find(flagged.begin(), flagged.end(), name) == flagged.end()) flagged.push_back(name);
  };
  for (const Brightener& one : *found) {
    work.warn_all({warning_of(one)});
    if (one.name == work.target.name || one.name == work.made.state.tissue) flag(one.name);
  }
  // The warning is the palette's own, and said already.
  if (work.problem().palette.brightener) flag(work.problem().palette.substrate);
  return {};
}

Result<void> put_lights(WashWork& work) {
  WashState& state = work.made.state;
  const WashRequest& q = work.request;
  const bool brightened = !state.brightener.empty();
  const SeenSheet& seen = work.seen;
  results::ViewingRequest asked = q.viewing;
  if (!seen.sheet) asked = {{seen.lab.light}, seen.lab.observer_deg};
  auto view = viewing(asked, viewing_and_gallery_lights(), work.place);
  if (!view) return view.error();
  if (brightened && !seen.sheet && !is_readings_light(seen.lab.light))
    return bad_input("a brightener was found in " + listed(state.brightener) +
                         ": under any light but D50 its colour is not predictable, and the sheet "
                         "is known by L*a*b* under " +
                         seen.lab.light + " alone; read the sheet as a spectrum",
                     state.target);
  if (brightened && seen.sheet && view_under_readings_light(*view))
    work.warn(
        "a brightener was found: planned under D50, the only light that the readings tell "
        "of; the others are shown, marked, and decide nothing",
        listed(state.brightener));
  state.observer_deg = degrees(view->observer);
  for (const Light& light : view->lights) {
    auto weights = tristimulus_weights(work.grid(), light, view->observer);
    if (!weights) return weights.error();
    const Lab sheet =
        seen.sheet ? *weights->lab(seen.sheet->seen) : Lab{seen.lab.L, seen.lab.a, seen.lab.b};
    state.lights.push_back(results::named(light));
    state.problem.lights.push_back({*std::move(weights), sheet, offset(sheet, *q.aim_dL, q.aim_dC),
                                    !brightened || is_readings_light(light.name)});
  }
  return {};
}

Result<void> put_place(WashWork& work, const Backings& backings) {
  WashState& state = work.made.state;
  if (work.film()) {
    state.trial_place = state.problem.place;
    return {};
  }
  state.trial_place.grid = work.grid();
  state.trial_place.below = work.over.R;
  if (!work.seen.sheet) {
    if (state.use != Use::loss)
      return bad_input("a " + std::string(name_of(state.use)) +
                           " lies on or under the sheet itself, which needs its spectrum",
                       state.target);
    state.problem.place.grid = work.grid();
    state.problem.place.below = work.over.R;
    return {};
  }
  auto place = setting_for(state.use, state.side, *work.seen.sheet, work.over.R);
  if (!place) return place.error();
  state.problem.place = *std::move(place);
  if (state.use != Use::loss) return {};
  // Only where the sheet's body is known does another backing change both honestly; a loss can be
  // asked over any.
  for (const std::string& name : backings.names_behind(false))
    if (name != work.over.name)
      if (auto other = backings.find(name, work.grid()))
        if (auto there = setting_for(state.use, state.side, *work.seen.sheet, other->R))
          work.made.other_backings.emplace(name, *std::move(there));
  return {};
}

std::string no_light_sheet(WashWork& work) {
  const WashState& state = work.made.state;
  if (work.film()) return "a film's own transmittance is not calibrated";
  if (!work.seen.sheet) return "only L*a*b* is given for the sheet";
  if (work.seen.sheet->body.empty())
    return light_sheet_why(*work.seen.sheet, work.seen.why_no_body);
  if (!state.problem.place.light_sheet_unknown.empty())
    return state.problem.place.light_sheet_unknown;
  if (!state.brightener.empty() && !is_readings_light(state.light_sheet))
    return not_predictable_through;
  return light_sheet_why(*work.seen.sheet, work.seen.why_no_body);
}

Result<void> put_light_sheet(WashWork& work) {
  WashState& state = work.made.state;
  TransmittedAim& aim = state.problem.transmitted;
  state.light_sheet = work.request.light_sheet;
  aim.why = no_light_sheet(work);
  if (!aim.why.empty()) return {};
  auto view = viewing({{state.light_sheet}, state.observer_deg}, {}, work.place);
  if (!view) return view.error();
  auto weights = tristimulus_weights(work.grid(), view->lights.front(), view->observer);
  if (!weights) return weights.error();
  std::vector<double> T;
  for (const Slab& slab : work.seen.sheet->body) T.push_back(slab.out);
  aim.known = true;
  aim.sheet = *weights->lab(T);
  aim.weights = *std::move(weights);
  return {};
}

Result<void> put_limits(WashWork& work) {
  WashProblem& problem = work.problem();
  for (const Colorant& c : problem.palette.colorants) problem.max_load.push_back(c.load_range[1]);
  for (const auto& [name, load] : work.request.max_load) {
    bool known = name.empty();
    for (std::size_t c = 0; c < problem.max_load.size(); ++c) {
      const Colorant& colorant = problem.palette.colorants[c];
      if (!name.empty() && colorant.name != name) continue;
      known = true;
      problem.max_load[c] = load;
      if (load > colorant.load_range[1] * (1 + 1e-9))
        work.warn("loads above " + shortest(colorant.load_range[1]) +
                      " are beyond what was calibrated: extrapolated",
                  colorant.name);
    }
    if (!known) return bad_request("the calibration has no colorant '" + name + "'", "--max-load");
  }
  for (const auto& [name, reason] : work.request.exclude)
    problem.excluded.push_back({name, reason});
  return {};
}

Result<void> stocks_of_palette(const std::vector<Stock>& stocks, const Palette& palette,
                               const std::string& file) {
  std::vector<std::string> known;
  for (const Colorant& colorant : palette.colorants) known.push_back(colorant.name);
  for (const Stock& stock : stocks)
    if (std::find(known.begin(), known.end(), stock.colorant) == known.end())
      return bad_input("the stock '" + stock.name + "' is of '" + stock.colorant +
                           "', which the calibration does not know; it knows " + listed(known),
                       file);
  return {};
}

Result<void> put_dispensing(WashWork& work) {
  const WashRequest& q = work.request;
  WashState& state = work.made.state;
  DispenseProblem& d = state.dispensing;
  d.method = q.method.value_or(work.film() ? Method::brush : Method::bath);
  d.pick_up_ml_m2 = q.pick_up_ml_m2.value_or(0);
  if (d.method == Method::brush && q.pick_up_ml_m2)
    work.warn("a brush lays down what is brushed on: the pick-up is not used", "--pick-up");
  d.pick_up_sd = q.pick_up_sd;
  d.volume_ml = q.volume_ml.value_or(0);
  d.laid_ml = q.laid_ml.value_or(0);
  d.area_m2 = q.area_m2.value_or(0);
  d.sheets = q.sheets;
  d.coats = q.coats;
  d.tray_ml = q.tray_ml;
  if (q.stocks.empty()) {
    state.no_dispense = {"no stock file was given (--stock): loads only"};
    return {};
  }
  auto bytes = input_bytes(q.stocks, work.place);
  if (!bytes) return bytes.error();
  auto stocks = read_stocks(*bytes, q.stocks, state.problem.palette.load_unit);
  if (!stocks) return stocks.error();
  d.stocks = std::move(stocks->stocks);
  if (is_file(q.stocks, work.place))  // a record keeps the stocks of every palette
    if (auto known = stocks_of_palette(d.stocks, state.problem.palette, q.stocks); !known)
      return known;
  for (const std::string& words : stocks->warnings) work.warn(words);
  for (const Colorant& c : state.problem.palette.colorants)
    if (std::none_of(d.stocks.begin(), d.stocks.end(),
                     [&](const Stock& s) { return s.colorant == c.name; }))
      work.warn("there is no stock of it: recipes with it cannot be measured out", c.name);
  state.can_dispense = true;
  return {};
}

}  // namespace

Result<PreparedWash> prepare_wash(const WashRequest& asked, const InputPlace& place) {
  auto palette = load_palette(asked.palette, place);
  if (!palette) return palette.error();
  WashRequest request = asked;
  std::vector<std::string> notes;
  const auto entered = complete_request(request, *palette, place, notes);
  if (!entered) return entered.error();
  if (const auto fits = check_application(request, *palette); !fits) return fits.error();
  if (const auto fits = check_method(request, palette->application); !fits) return fits.error();
  WashWork work{request, place, {}, {}, {}, {}, {}, {}, {}, {}};
  WashState& state = work.made.state;
  WashProblem& problem = state.problem;
  work.made.notes = std::move(notes);
  state.care = request.care;
  problem.palette = *std::move(palette);
  problem.plies = request.plies;
  problem.at_most = request.at_most;
  problem.top = request.top;
  problem.weights = request.weights;
  state.use = request.use;
  state.side = request.side;
  state.aim_dL = *request.aim_dL;
  state.aim_dC = request.aim_dC;
  state.tolerance_de00 = request.tolerance_de00.value_or(results::match_tolerance_de00);
  state.tolerance_origin = results::match_tolerance_origin(request.tolerance_de00.has_value());
  for (const std::string& words : problem.palette.warnings) work.warn(words, request.palette);
  using Step = Result<void> (*)(WashWork&);
  for (Step step : {read_target, read_tissue})
    if (const auto done = step(work); !done) return done.error();
  if (!request.over.empty())
    if (auto added = add_backing(request.over, place, work.all); !added) return added.error();
  const auto backings = Backings::from(work.all);
  if (!backings) return backings.error();
  using BackedStep = Result<void> (*)(WashWork&, const Backings&);
  for (BackedStep step : {choose_manners, find_backing, see_sheet, put_tissue, put_place})
    if (const auto done = step(work, *backings); !done) return done.error();
  for (Step step : {look_for_brighteners, put_lights, put_light_sheet, put_limits, put_dispensing})
    if (const auto done = step(work); !done) return done.error();
  if (work.film()) return std::move(work.made);
  const auto unfit = unfit_because(
      state, work.tissue ? work.tissue->grammage_g_m2 : std::optional<double>(),
      work.target.grammage_g_m2, *entered, place);
  if (!unfit) return unfit.error();
  if (!unfit->empty())
    work.warn("before its colour, its weight: " + *unfit + "; try other plies or another tissue",
              state.tissue);
  return std::move(work.made);
}

}  // namespace mendtone::app
