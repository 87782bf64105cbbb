#include "app/wash_prepare.hpp"

#include <algorithm>

#include "app/stocks.hpp"
#include "app/text.hpp"
#include "mendtone/app/palette.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/difference.hpp"

namespace mendtone::app {
namespace {

/// Everything read, on its way to a problem.
struct WashWork {
  const WashRequest& request;
  PreparedWash made;
  std::vector<Reading> target_rows, tissue_rows, all;
  std::optional<Sheet> sheet;
  std::optional<BoundLab> lab_only;
  Backing over;

  WashProblem& problem() { return made.state.problem; }
  const WavelengthGrid& grid() { return problem().palette.grid; }
  void warn(std::string text, std::string where = {}) {
    made.warnings.push_back({std::move(text), std::move(where)});
  }
};

/// Rows of the first role that there are any of, by name where one is given; refuses several names.
Result<std::vector<Reading>> rows_named(const std::vector<Reading>& readings, Role wanted,
                                        const std::string& name, const std::string& option,
                                        const std::string& choose) {
  std::vector<Reading> rows;
  for (Role role : {wanted, Role::unstated}) {
    for (const Reading& r : readings)
      if (r.role == role && (name.empty() || r.name == name)) rows.push_back(r);
    if (!rows.empty()) break;
  }
  std::vector<std::string> names;
  for (const Reading& r : rows)
    if (std::find(names.begin(), names.end(), r.name) == names.end()) names.push_back(r.name);
  if (names.empty())
    return bad_input("no reading of role " + std::string(name_of(wanted)) +
                         (name.empty() ? std::string() : " named '" + name + "'") + " was found",
                     option);
  if (names.size() > 1)
    return bad_request("there are several: " + listed(names) + "; say which with " + choose,
                       option);
  return rows;
}

Result<void> read_target(WashWork& work) {
  std::vector<std::string> files{work.request.target};
  files.insert(files.end(), work.request.backings.begin(), work.request.backings.end());
  auto file = load({std::move(files), work.request.scale, work.request.record});
  if (!file) return file.error();
  work.made.warnings.insert(work.made.warnings.end(), file->warnings.begin(), file->warnings.end());
  work.all = file->readings;
  auto rows = rows_named(file->readings, Role::target, work.request.target_name, "--for", "--spot");
  if (!rows) return rows.error();
  work.target_rows = *std::move(rows);
  work.made.state.target = work.target_rows.front().name;
  return {};
}

Error original_paper(const std::string& name) {
  return bad_request(
      "'" + name +
          "' is the original paper. A wash or bath is planned for added material only: tissue that "
          "is toned and dried away from the object. For retouching, give the fill already in place "
          "and --application film",
      "--on");
}

Result<void> read_tissue(WashWork& work) {
  const WashRequest& q = work.request;
  const Palette& palette = work.problem().palette;
  if (!is_file(q.on, q.record)) {
    for (const Reading& r : work.all)
      if (r.name == q.on && r.role == Role::tissue) work.tissue_rows.push_back(r);
    if (!work.tissue_rows.empty()) return {};
    for (const Reading& r : work.all)
      if (r.name == q.on && r.role == Role::target) return original_paper(q.on);
    if (q.on == palette.substrate && palette.application == Application::absorbed) return {};
    if (q.record.record.empty() && !q.record.only)
      return bad_input(
          "there is no file and no tissue of that name; the calibration was made on '" +
              palette.substrate + "'",
          "--on " + q.on);
  }
  auto file = load({{q.on}, q.scale, q.record});
  if (!file) return file.error();
  const bool same_file = q.on == q.target;
  if (!same_file) {
    work.made.warnings.insert(work.made.warnings.end(), file->warnings.begin(),
                              file->warnings.end());
    work.all.insert(work.all.end(), file->readings.begin(), file->readings.end());
  }
  const auto any = [&](std::initializer_list<Role> roles) {
    return std::any_of(file->readings.begin(), file->readings.end(),
                       [&](const Reading& r) { return has_role(r, roles); });
  };
  if (!any({Role::tissue, Role::substrate, Role::unstated}) && any({Role::target}))
    return original_paper(work.made.state.target);
  std::string name = q.on_name;
  if (name.empty())
    for (const Reading& r : file->readings)
      if (r.role == Role::tissue && r.name == palette.substrate) name = r.name;
  for (const Reading& r : file->readings)
    if (!name.empty() && r.name == name && r.role == Role::target) return original_paper(name);
  auto rows = rows_named(file->readings, Role::tissue, name, "--on", "--tissue");
  if (!rows) rows = rows_named(file->readings, Role::substrate, name, "--on", "--tissue");
  if (!rows) return rows.error();
  // The same reading named as sheet and as tissue is the sheet, whatever its role says.
  if (same_file && rows->front().name == work.made.state.target)
    return original_paper(work.made.state.target);
  work.tissue_rows = *std::move(rows);
  return {};
}

Result<void> find_backing(WashWork& work, const Backings& backings) {
  const std::string& name = work.request.over;
  const Palette& palette = work.problem().palette;
  auto found = backings.find(name, work.grid());
  const auto calibrated = palette.backings.find(name);
  if ((!found || found->nominal) && calibrated != palette.backings.end())
    found = Backing{name, calibrated->second, false, {}};
  if (!found) {
    std::vector<std::string> names = backings.names();
    for (const auto& [known, R] : palette.backings)
      if (std::find(names.begin(), names.end(), known) == names.end()) names.push_back(known);
    return bad_input("no reading of the backing '" + name + "' was found; there are " +
                         (names.empty() ? std::string("none") : listed(names)),
                     "--over");
  }
  work.over = *std::move(found);
  for (const std::string& words : work.over.warnings) work.warn(words, "--over");
  if (work.over.nominal)
    work.warn("a nominal backing, not read: read the real one and name it", name);
  work.made.state.over = name;
  return {};
}

/// The sheet over the backing of use, by its body or as read.
Result<void> see_sheet(WashWork& work, const Backings& backings) {
  const std::vector<SheetReadings> sheets = sheets_of(work.target_rows, backings, work.grid());
  const SheetReadings& target = sheets.front();
  if (sheets.size() > 1) work.warn("read in several manners; the first is used", target.name);
  for (const std::string& words : target.warnings) work.warn(words, target.name);
  if (target.state == State::wet) return bad_input("read wet; a tone is matched dry", target.name);
  if (target.spectral.empty()) {
    BoundLab mean = *target.lab_only.front().lab;
    mean.L = mean.a = mean.b = 0;
    const double n = static_cast<double>(target.lab_only.size());
    for (const Reading& r : target.lab_only) {
      mean.L += r.lab->L / n;
      mean.a += r.lab->a / n;
      mean.b += r.lab->b / n;
    }
    work.lab_only = mean;
    work.warn("L*a*b* only: matched under its own light and observer, " + mean.light + ", " +
                  std::to_string(mean.observer_deg) + " degrees, and not in transmission",
              target.name);
    return {};
  }
  auto found = body_of(target);
  if (!found) return found.error();
  if (found->body) {
    work.sheet = Sheet{work.grid(), {}, found->body->slab, found->body->opaque};
    for (std::size_t i = 0; i < work.over.R.size(); ++i)
      work.sheet->seen.push_back(over(work.sheet->body[i], work.over.R[i]));
    return {};
  }
  const SheetReading* read = read_over(target, work.over.name);
  if (read == nullptr) read = &target.spectral.front();
  work.sheet = Sheet{work.grid(), read->mean, {}, {}};
  if (read->backing != work.over.name)
    work.warn("read over " +
                  (read->backing.empty() ? std::string("a backing not stated")
                                         : "'" + read->backing + "'") +
                  ", shown over '" + work.over.name +
                  "': taken as read, which can be wrong by 8-11 L* on a translucent sheet; read it "
                  "over a second backing",
              target.name);
  return {};
}

/// The tissue's own ply, and whether the calibration was made on it.
Result<void> put_tissue(WashWork& work, const Backings& backings) {
  WashState& state = work.made.state;
  Palette& palette = state.problem.palette;
  state.tissue = palette.substrate;
  if (work.tissue_rows.empty()) return {};
  const std::vector<SheetReadings> sheets = sheets_of(work.tissue_rows, backings, work.grid());
  const SheetReadings& tissue = sheets.front();
  state.tissue = tissue.name;
  if (tissue.state == State::wet)
    return bad_input("read wet; only dry readings can be planned with", tissue.name);
  auto found = body_of(tissue);
  if (!found) return found.error();
  if (palette.application == Application::film) {
    const SheetReading* read = read_over(tissue, work.over.name, state.problem.plies);
    state.problem.place.grid = work.grid();
    if (read != nullptr) {
      state.problem.place.below = read->mean;
    } else if (found->body && found->body->ply) {
      const std::vector<Slab> pile = stacked(*found->body->ply, state.problem.plies);
      for (std::size_t i = 0; i < pile.size(); ++i)
        state.problem.place.below.push_back(over(pile[i], work.over.R[i]));
    } else {
      return bad_input(
          "the fill in place was not read over '" + work.over.name + "', and " + found->why_not,
          tissue.name);
    }
    return {};
  }
  if (!found->body) return bad_input(found->why_not, tissue.name);
  if (!found->body->ply)
    return bad_input("its two faces differ; a wash is planned for a sheet that is alike on both",
                     tissue.name);
  palette.ply = *found->body->ply;
  const bool other = tissue.name != palette.substrate ||
                     (!tissue.lot.empty() && !palette.lot.empty() && tissue.lot != palette.lot);
  if (!other) return {};
  state.another_lot_de00 = 1;
  work.warn("the colorants were calibrated on '" + palette.substrate + "'" +
                (palette.lot.empty() ? std::string() : " lot " + palette.lot) +
                "; another tissue or lot takes them up differently: 1 DeltaE00 is added to the "
                "uncertainty (maintainers' figure). One trial swatch will tell",
            tissue.name);
  return {};
}

Result<void> put_lights(WashWork& work) {
  WashState& state = work.made.state;
  const WashRequest& q = work.request;
  ViewingRequest asked = q.viewing;
  if (work.lab_only) asked = {{work.lab_only->light}, work.lab_only->observer_deg};
  auto view = viewing(asked, viewing_and_gallery_lights());
  if (!view) return view.error();
  state.observer_deg = degrees(view->observer);
  for (const Light& light : view->lights) {
    auto weights = tristimulus_weights(work.grid(), light, view->observer);
    if (!weights) return weights.error();
    const Lab sheet = work.lab_only ? Lab{work.lab_only->L, work.lab_only->a, work.lab_only->b}
                                    : weights->lab(work.sheet->seen);
    state.lights.push_back(light.name + " (" + light.origin + ")");
    state.problem.lights.push_back({*std::move(weights), sheet, offset(sheet, q.aim_dL, q.aim_dC)});
  }
  return {};
}

Result<void> put_place(WashWork& work, const Backings& backings) {
  WashState& state = work.made.state;
  if (state.problem.palette.application == Application::film) {
    state.trial_place = state.problem.place;
    return {};
  }
  state.trial_place.grid = work.grid();
  state.trial_place.below = work.over.R;
  if (!work.sheet) {
    if (state.use != Use::loss)
      return bad_input("a " + std::string(name_of(state.use)) +
                           " lies on or under the sheet itself, which needs its spectrum",
                       state.target);
    state.problem.place.grid = work.grid();
    state.problem.place.below = work.over.R;
    return {};
  }
  auto place = setting_for(state.use, state.side, *work.sheet, work.over.R);
  if (!place) return place.error();
  state.problem.place = *std::move(place);
  if (state.use != Use::loss) return {};
  // Only where the sheet's body is known does another backing change both honestly; a loss can be
  // asked over any.
  for (const std::string& name : backings.names())
    if (name != work.over.name)
      if (auto other = backings.find(name, work.grid()))
        if (auto there = setting_for(state.use, state.side, *work.sheet, other->R))
          work.made.other_backings.emplace(name, *std::move(there));
  return {};
}

Result<void> put_light_sheet(WashWork& work) {
  WashState& state = work.made.state;
  TransmittedAim& aim = state.problem.transmitted;
  state.light_sheet = work.request.light_sheet;
  const bool film = state.problem.palette.application == Application::film;
  if (film)
    aim.why = "a film's own transmittance is not calibrated";
  else if (!work.sheet)
    aim.why = "only L*a*b* is given for the sheet";
  else if (work.sheet->body.empty())
    aim.why = "the sheet was read over one backing only";
  else if (!state.problem.place.light_sheet_unknown.empty())
    aim.why = state.problem.place.light_sheet_unknown;
  else if (std::find(work.sheet->opaque.begin(), work.sheet->opaque.end(), true) !=
           work.sheet->opaque.end())
    aim.why = "the sheet is opaque in some bands";
  if (!aim.why.empty()) return {};
  auto view = viewing({{state.light_sheet}, state.observer_deg, work.request.record}, {});
  if (!view) return view.error();
  auto weights = tristimulus_weights(work.grid(), view->lights.front(), view->observer);
  if (!weights) return weights.error();
  std::vector<double> T;
  for (const Slab& slab : work.sheet->body) T.push_back(slab.T);
  aim.known = true;
  aim.sheet = weights->lab(T);
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

Result<void> put_dispensing(WashWork& work) {
  const WashRequest& q = work.request;
  WashState& state = work.made.state;
  DispenseProblem& d = state.dispensing;
  d.method = q.method;
  d.pick_up_ml_m2 = q.pick_up_ml_m2.value_or(0);
  d.pick_up_sd = q.pick_up_sd;
  d.volume_ml = q.volume_ml.value_or(0);
  d.area_m2 = q.area_m2.value_or(0);
  d.sheets = q.sheets;
  d.coats = q.coats;
  d.tray_ml = q.tray_ml;
  if (q.stocks.empty()) {
    state.no_dispense = {"no stock file was given (--stock): loads only"};
    return {};
  }
  auto bytes = input_bytes(q.stocks, q.record);
  if (!bytes) return bytes.error();
  auto stocks = read_stocks(*bytes, q.stocks, state.problem.palette.load_unit);
  if (!stocks) return stocks.error();
  d.stocks = std::move(stocks->stocks);
  for (const std::string& words : stocks->warnings) work.warn(words);
  for (const Colorant& c : state.problem.palette.colorants)
    if (std::none_of(d.stocks.begin(), d.stocks.end(),
                     [&](const Stock& s) { return s.colorant == c.name; }))
      work.warn("there is no stock of it: recipes with it cannot be measured out", c.name);
  state.can_dispense = true;
  return {};
}

}  // namespace

Result<PreparedWash> prepare_wash(const WashRequest& request) {
  auto bytes = input_bytes(request.palette, request.record);
  if (!bytes) return bytes.error();
  auto palette = palette_from(*bytes, request.palette);
  if (!palette) return palette.error();
  if (request.application && *request.application != palette->application)
    return bad_request("the calibration is for " + std::string(name_of(palette->application)) +
                           ", asked for " + std::string(name_of(*request.application)),
                       "--application");
  WashWork work{request, {}, {}, {}, {}, {}, {}, {}};
  WashState& state = work.made.state;
  WashProblem& problem = state.problem;
  problem.palette = *std::move(palette);
  problem.plies = request.plies;
  problem.at_most = request.at_most;
  problem.top = request.top;
  problem.weights = request.weights;
  state.use = request.use;
  state.side = request.side;
  state.aim_dL = request.aim_dL;
  state.aim_dC = request.aim_dC;
  state.tolerance_de00 = request.tolerance_de00;
  state.tolerance_origin =
      request.tolerance_is_default
          ? "default: where half of observers accept a pair, in dental studies (published, read by "
            "the maintainers, source not at hand); no tolerance for fills was found"
          : "as asked";
  for (const std::string& words : problem.palette.warnings) work.warn(words, request.palette);
  using Step = Result<void> (*)(WashWork&);
  for (Step step : {read_target, read_tissue})
    if (const auto done = step(work); !done) return done.error();
  if (auto added = add_backing(request.over, request.record, work.all); !added)
    return added.error();
  const auto backings = Backings::from(work.all);
  if (!backings) return backings.error();
  using BackedStep = Result<void> (*)(WashWork&, const Backings&);
  for (BackedStep step : {find_backing, see_sheet, put_tissue, put_place})
    if (const auto done = step(work, *backings); !done) return done.error();
  for (Step step : {put_lights, put_light_sheet, put_limits, put_dispensing})
    if (const auto done = step(work); !done) return done.error();
  return std::move(work.made);
}

}  // namespace mendtone::app
