#include "mendtone/app/tissue/tissue.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "app/inputs/text.hpp"
#include "app/tissue/sheet_seen.hpp"
#include "app/tissue/tissue_care.hpp"
#include "app/tissue/tissue_groups.hpp"
#include "app/tissue/tissue_prepared.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/colour/difference.hpp"
#include "mendtone/colour/direction.hpp"
#include "mendtone/match/tissue_chance.hpp"

namespace mendtone::app {
namespace {

using Prepared = TissueBench::Prepared;

constexpr std::size_t chance_for = 50;
/// One ranking on its way: what was prepared, what is asked, what comes out.
struct Work {
  const Prepared& prepared;
  const TissueQuestion& question;
  const InputPlace& place;
  RankProblem problem;
  TissueAnswer answer;
  /// For each tissue and place: the plies that come nearest on the light sheet.
  std::vector<std::pair<double, int>> best_plies;
  std::optional<RankProblem> open_line{};  ///< the tissue bare, for tears
  std::optional<TissueCautions> cautions{};
  double sd_L = 0;  ///< of a candidate's lightness against the sheet's, by chance
};

/// The error of the layer model in L*, of what was not read as it will be seen (maintainers'
/// figure).
constexpr double model_sd_L = 0.3;

Result<void> check(const TissueQuestion& q) {
  if (q.uses.empty()) return bad_request("expected a use: loss, tear or lining", "--use");
  if (q.fewest_plies < 1 || q.most_plies < q.fewest_plies || q.most_plies > most_plies_prepared)
    return bad_request("expected plies between 1 and " + std::to_string(most_plies_prepared) +
                           ", as in 1-4; found " + std::to_string(q.fewest_plies) + "-" +
                           std::to_string(q.most_plies),
                       "--plies");
  if (q.tolerance_de00 && !(*q.tolerance_de00 > 0))
    return bad_request("expected a tolerance above 0, found " + shortest(*q.tolerance_de00),
                       "--tolerance");
  if (q.trials < 0) return bad_request("expected a number of trials from 0 upwards", "--trials");
  return {};
}

ColourUnder colour_under(const std::string& light, const Lab& sheet, const Lab& lab) {
  const SignedDifference d = signed_difference(sheet, lab);
  return {light, lab, de00(sheet, lab), d.dL, d.da, d.db, {}};
}

void put_light(Work& work, const Light& light, TristimulusWeights weights, const Lab& sheet) {
  work.answer.lights.push_back(results::named(light));
  const bool predictable = !work.prepared.target_brightener || is_readings_light(light.name);
  work.problem.lights.push_back({std::move(weights), sheet,
                                 offset(sheet, *work.question.aim_dL, work.question.aim_dC),
                                 predictable});
  work.answer.sheet.push_back(colour_under(light.name, sheet, sheet));
  if (!predictable) work.answer.sheet.back().not_predictable = brightener_was_found;
}

Result<void> put_spectral_lights(Work& work) {
  auto asked = viewing(work.question.viewing, viewing_and_gallery_lights(), work.place);
  if (!asked) return asked.error();
  work.answer.observer_deg = degrees(asked->observer);
  for (const Light& light : asked->lights) {
    auto weights = tristimulus_weights(work.prepared.grid, light, asked->observer);
    if (!weights) return bad_input(weights.error().message, work.prepared.target.name);
    const Lab sheet = *weights->lab(work.prepared.sheet->seen);
    put_light(work, light, *std::move(weights), sheet);
  }
  return {};
}

/// A sheet known by L*a*b* only is ranked under the light and observer that these are bound to.
Result<void> put_own_light(Work& work) {
  const BoundLab& own = work.prepared.target_lab;
  const auto light = standard_light(own.light);
  if (!light) return light.error();
  const auto observer = observer_from_degrees(own.observer_deg);
  if (!observer) return observer.error();
  auto weights = tristimulus_weights(work.prepared.grid, *light, *observer);
  if (!weights) return weights.error();
  work.answer.observer_deg = own.observer_deg;
  put_light(work, *light, *std::move(weights), {own.L, own.a, own.b});
  for (const std::string& other : work.question.viewing.lights)
    if (other != own.light)
      work.answer.warnings.push_back(line_of({"the sheet is L*a*b* only, bound to " + own.light +
                                                  ", " + std::to_string(own.observer_deg) +
                                                  " degrees: nothing can be said under " + other,
                                              work.prepared.target.name}));
  return {};
}

Result<void> put_places(Work& work) {
  const Prepared& p = work.prepared;
  const double gloss = p.surfaces.interface.seen_gloss();
  for (const Use use : work.question.uses) {
    RankPlace place{use, work.question.side, {}, std::nullopt};
    if (!p.sheet) {
      if (use != Use::loss)
        return bad_input("a " + std::string(name_of(use)) +
                             " lies on or under the sheet itself, which needs its spectrum; only "
                             "L*a*b* is given",
                         p.target.name);
      place.setting = {p.grid, p.over.R, {}, {}, {}, gloss};
      work.problem.places.push_back(std::move(place));
      continue;
    }
    auto setting = setting_for(use, work.question.side, *p.sheet, p.over.R);
    if (!setting) {
      const bool data = setting.error().code == ErrorCode::bad_input;
      return Error{setting.error().code,
                   setting.error().message + (p.sheet->body.empty() && !p.why_no_body.empty()
                                                  ? "; the sheet was " + p.why_no_body
                                                  : ""),
                   data ? p.target.name : setting.error().where};
    }
    place.setting = *std::move(setting);
    place.setting.gloss = gloss;
    if (p.sheet->body.empty())
      place.setting.light_sheet_unknown = light_sheet_why(*p.sheet, p.why_no_body);
    if (use == Use::loss)
      if (auto margin = setting_for(Use::tear, work.question.side, *p.sheet, p.over.R)) {
        place.margin = *std::move(margin);
        place.margin->gloss = gloss;
      }
    work.problem.places.push_back(std::move(place));
  }
  return {};
}

Result<void> put_light_sheet(Work& work) {
  const Prepared& p = work.prepared;
  auto asked = viewing({{work.question.light_sheet}, work.answer.observer_deg}, {}, work.place);
  if (!asked) return asked.error();
  Transmitted& sheet = work.answer.sheet_transmitted;
  sheet.light = asked->lights.front().name;
  sheet.why =
      p.sheet ? light_sheet_why(*p.sheet, p.why_no_body) : "only L*a*b* is given for the sheet";
  if (!sheet.why.empty()) return {};
  auto weights = tristimulus_weights(p.grid, asked->lights.front(), asked->observer);
  if (!weights) return weights.error();
  std::vector<double> T;
  for (const Slab& slab : p.sheet->body) T.push_back(slab.out);
  sheet.known = true;
  sheet.lab = *weights->lab(T);
  work.problem.light_sheet = LightSheetAim{*std::move(weights), *sheet.lab};
  return {};
}

std::string surfaces_in_words(const Surfaces& surfaces) {
  const InterfaceCorrection& i = surfaces.interface;
  if (i.none())
    return "no interface correction: plies in contact and plies with air between come out the same";
  return "interface k1 " + shortest(i.k1) + ", ke " + shortest(i.ke) + ", k2 " + shortest(i.k2) +
         "; plies " + (surfaces.joint == Joint::air ? "with air between" : "in contact") +
         "; backings taken as read across an air gap";
}

std::string asked_or_not(const TissueAnswer& a) {
  return a.sheet_weight_g_m2 ? " (common practice put into numbers, no source)"
                             : "; the sheet's weight is not stated, so this could not be asked";
}

void describe(Work& work) {
  const Prepared& p = work.prepared;
  const TissueQuestion& q = work.question;
  TissueAnswer& a = work.answer;
  a.target = p.target.name;
  a.over = p.over.name;
  a.over_is_nominal = p.over.nominal;
  a.uses = q.uses;
  a.side = q.side;
  a.sheet_weight_g_m2 = sheet_weight(p, q);
  a.tolerance_de00 = q.tolerance_de00.value_or(results::match_tolerance_de00);
  a.tolerance_origin = results::match_tolerance_origin(q.tolerance_de00.has_value());
  a.aim_dL = *q.aim_dL;
  a.aim_dC = q.aim_dC;
  a.aim = work.problem.lights.front().aim;
  a.score_formula =
      in_words(q.weights) + "; " + shortest(q.darker_weight) +
      " x the chance of coming out darker than the sheet besides (maintainers' figure)";
  a.surfaces = surfaces_in_words(p.surfaces);
  a.left_out = p.left_out;
  const std::vector<std::string> told = lines_of(p.warnings);
  a.warnings.insert(a.warnings.begin(), told.begin(), told.end());
  a.cautions = work.cautions->of_the_act();
  a.notes = {"colour alone is not the match: compare weight, texture and sheen by eye",
             "in textured paper, how near an edge must come is not known: no study was found",
             std::string(common_practice_note)};
  for (const Use use : q.uses) a.notes.push_back(fitness_in_words(use) + asked_or_not(a));
}

bool some_near_in_colour_alone(const TissueAnswer& a) {
  return std::any_of(a.candidates.begin(), a.candidates.end(), [&](const TissueCandidate& c) {
    return stands_apart(c) && c.aim_de00 <= a.tolerance_de00;
  });
}

std::string verdict_of(const TissueAnswer& a) {
  const std::string candidates = counted(a.ranked, "candidate", "candidates"),
                    tolerance = "the tolerance (DeltaE00 " + shortest(a.tolerance_de00) + ")";
  if (a.within == 0)
    return "No tissue within " + tolerance + " among " + candidates +
           (some_near_in_colour_alone(a) ? " (some are near in colour alone: they cannot do the job)"
                                         : "") +
           "; the nearest stand below. Tone one with a wash, or try other plies or another "
           "backing.";
  return std::to_string(a.within) + " of " + candidates + " within " + tolerance +
         " under the viewing light, " + a.lights.front().name + ".";
}

std::size_t slot(const Work& work, const Ranked& one) {
  return one.tissue * work.problem.places.size() + one.place;
}

void find_best_plies(Work& work, const std::vector<Ranked>& ranked) {
  work.best_plies.assign(work.prepared.drawer->size() * work.problem.places.size(), {1e300, 0});
  for (const Ranked& one : ranked) {
    auto& best = work.best_plies[slot(work, one)];
    if (one.light_sheet_de00 && *one.light_sheet_de00 < best.first)
      best = {*one.light_sheet_de00, one.plies};
  }
}

std::optional<double> weight_of(const SheetReadings& sheet, int plies) {
  if (!sheet.grammage_g_m2) return std::nullopt;
  return *sheet.grammage_g_m2 * plies;
}

/// The filter that takes a candidate away, if any.
std::optional<LeaveOut> filter_on(const Work& work, double dL, const SheetReadings& sheet,
                                  int plies) {
  for (const LeaveOut filter : work.question.leave_out) {
    const auto weight = weight_of(sheet, plies);
    const bool hit = filter == LeaveOut::darker    ? dL <= -worth_a_word
                     : filter == LeaveOut::heavier ? weight && work.answer.sheet_weight_g_m2 &&
                                                         *weight > *work.answer.sheet_weight_g_m2
                                                   : sheet.bleeds.value_or(false);
    if (hit) return filter;
  }
  return std::nullopt;
}

void say_what_filters_could_not_judge(Work& work) {
  const auto asked = [&](LeaveOut filter) {
    const auto& all = work.question.leave_out;
    return std::find(all.begin(), all.end(), filter) != all.end();
  };
  const auto without = [&](auto is_missing) {
    return static_cast<std::size_t>(
        std::count_if(work.prepared.tissues.begin(), work.prepared.tissues.end(),
                      [&](const DrawerTissue& tissue) { return is_missing(tissue.sheet); }));
  };
  const std::size_t unweighed = without([](const auto& s) { return !s.grammage_g_m2; });
  const std::size_t untried = without([](const auto& s) { return !s.bleeds; });
  if (asked(LeaveOut::heavier) && !work.answer.sheet_weight_g_m2)
    work.answer.warnings.push_back(line_of(
        {"the sheet's grammage is not stated: 'heavier' could not be judged", work.answer.target}));
  else if (asked(LeaveOut::heavier) && unweighed > 0)
    work.answer.warnings.push_back(
        line_of({"grammage is not stated for " + counted(unweighed, "tissue", "tissues") +
                     ": kept, though they may be heavier",
                 ""}));
  if (asked(LeaveOut::bleeding) && untried > 0)
    work.answer.warnings.push_back(
        line_of({"whether it bleeds is not stated for " + counted(untried, "tissue", "tissues") +
                     " (a column 'bleeds', yes or no): kept",
                 ""}));
}

PastedShift pasted_shift(const Work& work, const Ranked& one, const PastedTissue& pasted,
                         const Lab& dry) {
  const LightAim& light = work.problem.lights.front();
  const Lab lab = *light.weights.lab(
      *seen(work.problem.places[one.place].setting, pasted.piles[one.plies - 1u]));
  const SignedDifference d = signed_difference(dry, lab);
  return {d.dL, d.da, d.db, de00(light.sheet, lab)};
}

double darker_chance(const Work& work, double dL, bool as_read) {
  return chance_of_darker(dL, std::hypot(work.sd_L, as_read ? 0 : model_sd_L));
}

/// What cannot do the job, or was read too long ago, stands apart, whatever its colour.
bool must_stand_apart(const Work& work, const SheetReadings& sheet, Use use, int plies) {
  if (fitness_by_weight(use, weight_of(sheet, plies), work.answer.sheet_weight_g_m2).fit ==
      "does not fit")
    return true;
  const EnteredTissue* entered = entered_as(work.prepared.drawer_entered, sheet.name, sheet.lot);
  return entered != nullptr &&
         !too_old(*entered, work.prepared.drawer_entered.today, work.question.read_within_years)
              .empty();
}

/// What both kinds of candidate share, once their colours are there.
void finish(Work& work, const SheetReadings& sheet, CandidateFacts facts, TissueCandidate& made) {
  const ColourUnder& first = made.by_light.front();
  made.tissue = sheet.name;
  made.lot = sheet.lot;
  made.state = sheet.state;
  made.lab = first.lab;
  made.de00 = first.de00;
  made.dL = first.dL;
  made.da = first.da;
  made.db = first.db;
  // A light under which nothing can be predicted is the worst only where there is no other.
  const bool some =
      std::any_of(made.by_light.begin(), made.by_light.end(),
                  [](const ColourUnder& colour) { return colour.not_predictable.empty(); });
  for (const ColourUnder& colour : made.by_light)
    if ((colour.not_predictable.empty() || !some) &&
        (made.worst_light.empty() || colour.de00 > made.worst_de00)) {
      made.worst_de00 = colour.de00;
      made.worst_light = colour.light;
    }
  made.weight_g_m2 = weight_of(sheet, made.plies);
  facts.sheet_weight_g_m2 = work.answer.sheet_weight_g_m2;
  facts.bleeds = sheet.bleeds;
  facts.most_plies = work.question.most_plies;
  const Fitness fitness =
      fitness_by_weight(made.use, made.weight_g_m2, work.answer.sheet_weight_g_m2);
  made.fit = fitness.fit;
  made.unfit_because = fitness.because;
  made.darker_chance = darker_chance(work, made.dL, made.as_read);
  if (const EnteredTissue* entered =
          entered_as(work.prepared.drawer_entered, made.tissue, made.lot)) {
    made.in_words = entered->in_words;
    made.to_be_read_again =
        too_old(*entered, work.prepared.drawer_entered.today, work.question.read_within_years);
  }
  made.reasons = reasons_of(made, facts);
  made.cautions = work.cautions->of_a_candidate(
      made.use, made.pasted || made.state == State::pasted, sheet.bleeds.value_or(false));
  for (std::string& words : cautions_of(made)) made.cautions.push_back(std::move(words));
}

Transmitted transmitted_of(const Work& work, const Ranked& one, const RankedColours& seen) {
  Transmitted result;
  const Transmitted& sheet = work.answer.sheet_transmitted;
  result.light = sheet.light;
  if (!seen.light_sheet) {
    const std::string& place = work.problem.places[one.place].setting.light_sheet_unknown;
    result.why = !sheet.known ? sheet.why
                 : work.prepared.drawer->as_read(one.tissue)
                     ? "the tissue was read over one backing only"
                 : work.prepared.drawer->opaque(one.tissue)
                     ? "the tissue reads the same over both backings: too opaque to tell"
                     : place;
    return result;
  }
  result.known = true;
  result.lab = *seen.light_sheet;
  result.de00 = *one.light_sheet_de00;
  result.dL = result.lab->L - sheet.lab->L;
  return result;
}

TissueCandidate candidate_of(Work& work, const Ranked& one) {
  const DrawerTissue& tissue = work.prepared.tissues[one.tissue];
  const RankedColours seen = *colours(*work.prepared.drawer, work.problem, one);
  TissueCandidate made;
  made.plies = one.plies;
  made.use = work.problem.places[one.place].use;
  made.side = work.problem.places[one.place].side;
  made.as_read = !tissue.body;
  for (std::size_t l = 0; l < seen.by_light.size(); ++l) {
    made.by_light.push_back(
        colour_under(work.answer.sheet[l].light, work.problem.lights[l].sheet, seen.by_light[l]));
    if (!work.answer.sheet[l].not_predictable.empty() ||
        (tissue.brightener && !is_readings_light(work.answer.sheet[l].light)))
      made.by_light.back().not_predictable = brightener_was_found;
  }
  made.aim_de00 = one.de00;
  made.overlap_de00 =
      made.use == Use::loss ? one.overlap_de00 : std::optional(made.by_light.front().de00);
  if (made.use == Use::loss && seen.margin) {
    const Lab& sheet = work.problem.lights.front().sheet;
    made.overlap_shift = results::Shift{seen.margin->L - sheet.L, seen.margin->a - sheet.a,
                                        seen.margin->b - sheet.b};
  }
  made.transmitted = transmitted_of(work, one, seen);
  made.score = one.score;
  if (tissue.pasted)
    made.pasted =
        pasted_shift(work, one, work.prepared.pasted[*tissue.pasted], seen.by_light.front());
  CandidateFacts facts;
  if (work.best_plies[slot(work, one)].second > 0)
    facts.plies_for_light_sheet = work.best_plies[slot(work, one)].second;
  finish(work, tissue.sheet, facts, made);
  return made;
}

/// A tissue known by L*a*b* only: one ply count, its own light, the loss alone.
Result<std::optional<TissueCandidate>> lab_candidate(Work& work, const LabTissue& tissue) {
  const Prepared& p = work.prepared;
  const std::string own =
      tissue.lab.light + ", " + std::to_string(tissue.lab.observer_deg) + " degrees";
  const auto light = standard_light(tissue.lab.light);
  if (!light) return light.error();
  const auto observer = observer_from_degrees(tissue.lab.observer_deg);
  if (!observer) return observer.error();
  Lab sheet{p.target_lab.L, p.target_lab.a, p.target_lab.b};
  if (p.sheet) {
    const auto weights = tristimulus_weights(p.grid, *light, *observer);
    if (!weights) return weights.error();
    sheet = *weights->lab(p.sheet->seen);
  } else if (tissue.lab.light != p.target_lab.light ||
             tissue.lab.observer_deg != p.target_lab.observer_deg) {
    work.answer.left_out.push_back(
        {tissue.sheet.name, "L*a*b* under " + own + "; the sheet's are under another light"});
    return std::optional<TissueCandidate>();
  }
  const Lab lab{tissue.lab.L, tissue.lab.a, tissue.lab.b};
  TissueCandidate made;
  made.plies = tissue.plies;
  made.side = work.question.side;
  made.as_read = true;
  made.by_light = {colour_under(tissue.lab.light, sheet, lab)};
  made.aim_de00 = de00(offset(sheet, *work.question.aim_dL, work.question.aim_dC), lab);
  made.transmitted.light = work.answer.sheet_transmitted.light;
  made.transmitted.why = "only L*a*b* is given for the tissue";
  const RankWeights& w = work.question.weights;
  made.score = (w.viewing + w.worst) * made.aim_de00;
  if (p.sheet && !p.sheet->body.empty()) made.score += w.overlap * w.unknown_overlap_de00;
  if (work.problem.light_sheet) made.score += w.light_sheet * w.unknown_light_sheet_de00;
  finish(work, tissue.sheet, {}, made);
  made.score += work.question.darker_weight * made.darker_chance.value_or(0);
  made.cautions.insert(
      made.cautions.begin(),
      "L*a*b* only, under " + own + ": nothing is known under other lights or on a light sheet");
  return std::optional(std::move(made));
}

bool must_stand_apart(const Work& work, const Ranked& one) {
  return must_stand_apart(work, work.prepared.tissues[one.tissue].sheet,
                      work.problem.places[one.place].use, one.plies);
}

/// What can do the job first, then by the score, to which the chance of coming out darker is added.
std::vector<Ranked> in_order(const Work& work, std::vector<Ranked> ranked) {
  for (Ranked& one : ranked) {
    const double L = colours(*work.prepared.drawer, work.problem, one)->by_light.front().L;
    one.score +=
        work.question.darker_weight * darker_chance(work, L - work.problem.lights.front().sheet.L,
                                                    work.prepared.drawer->as_read(one.tissue));
  }
  std::stable_sort(ranked.begin(), ranked.end(),
                   [](const Ranked& a, const Ranked& b) { return a.score < b.score; });
  std::stable_partition(ranked.begin(), ranked.end(),
                        [&](const Ranked& one) { return !must_stand_apart(work, one); });
  return ranked;
}

/// The rank of those that no filter takes away.
Result<std::vector<Ranked>> filtered_rank(Work& work) {
  const std::vector<std::string> wrong = faults(work.problem, *work.prepared.drawer);
  if (!wrong.empty()) return bad_request(listed(wrong));
  std::vector<Ranked> ranked = *rank(*work.prepared.drawer, work.problem);
  work.answer.ranked = ranked.size();
  find_best_plies(work, ranked);
  if (work.question.leave_out.empty()) return in_order(work, std::move(ranked));
  std::vector<Ranked> kept;
  for (const Ranked& one : ranked) {
    const Lab lab = colours(*work.prepared.drawer, work.problem, one)->by_light.front();
    const auto filter = filter_on(work, lab.L - work.problem.lights.front().sheet.L,
                                  work.prepared.tissues[one.tissue].sheet, one.plies);
    if (filter)
      ++work.answer.filtered[std::string(name_of(*filter))];
    else
      kept.push_back(one);
  }
  say_what_filters_could_not_judge(work);
  return in_order(work, std::move(kept));
}

ReadBy read_by(const std::optional<SheetBody>& body, const SheetReadings& sheet,
               std::size_t as_read) {
  if (!body) return {nullptr, &sheet.spectral[as_read]};
  const bool many = body->ply && body->ply->model != LayerModel::two_fluxes;
  return {&sheet.spectral[body->dark], &sheet.spectral[body->light], many ? &*body->ply : nullptr};
}

std::vector<double> chances(Work& work, const std::vector<Ranked>& ranked) {
  const Prepared& p = work.prepared;
  if (work.question.trials == 0 || ranked.empty()) return {};
  if (!p.surfaces.interface.none() || (p.target_body && !p.target_body->ply)) {
    work.answer.probability_note =
        "the probability of being nearest is not computed with an interface correction or for a "
        "sheet whose faces differ";
    return {};
  }
  ChanceProblem problem;
  problem.drawer = &*p.drawer;
  problem.rank = &work.problem;
  if (p.sheet) problem.sheet = read_by(p.target_body, p.target, p.target_as_read);
  problem.sheet_deviations = p.target_lab_deviations;
  problem.backing = p.over.R;
  for (const DrawerTissue& tissue : p.tissues)
    problem.tissues.push_back(read_by(tissue.body, tissue.sheet, tissue.as_read));
  problem.aim_dL = *work.question.aim_dL;
  problem.aim_dC = work.question.aim_dC;
  problem.seed = work.question.seed;
  problem.trials = work.question.trials;
  const std::span<const Ranked> best(ranked.data(), std::min(ranked.size(), chance_for));
  Chance chance = chance_of_being_nearest(problem, best);
  if (chance.nearest.empty()) {
    work.answer.probability_note =
        "the probability of being nearest is not known: " + chance.why_not;
    return {};
  }
  work.answer.probability_note =
      "probability of standing first if everything were read again: " +
      std::to_string(problem.trials) + " draws from the spread of the repeats (seed " +
      std::to_string(problem.seed) + "), on the best " + std::to_string(best.size());
  if (chance.pooled)
    work.answer.probability_note +=
        "; for a tissue that was read once, the spread of the other tissues' repeats is used";
  return std::move(chance.nearest);
}

/// How far two readings of one place differ by chance, under the viewing light: from the repeats of
/// all sheets; 0 where nothing was read twice. `u95_de00`: 95 % of them.
struct ReadingSpread {
  double u95_de00 = 0;
  double sd_L = 0;  ///< of the difference of two means, in L*
};
ReadingSpread reading_spread(const Work& work) {
  const TristimulusWeights& weights = work.problem.lights.front().weights;
  double squares = 0, squares_L = 0, freedom = 0, repeats = 0, places = 0;
  const auto add = [&](const SheetReadings& sheet) {
    for (const SheetReading& reading : sheet.spectral) {
      if (reading.deviations.size() < 2) continue;
      const Lab mean = *weights.lab(reading.mean);
      for (const std::vector<double>& deviation : reading.deviations) {
        std::vector<double> R = reading.mean;
        for (std::size_t i = 0; i < R.size(); ++i) R[i] += deviation[i];
        const Lab one = *weights.lab(R);
        const double apart = de00(mean, one);
        squares += apart * apart;
        squares_L += (one.L - mean.L) * (one.L - mean.L);
      }
      freedom += static_cast<double>(reading.deviations.size() - 1);
      repeats += static_cast<double>(reading.deviations.size());
      ++places;
    }
  };
  add(work.prepared.target);
  for (const DrawerTissue& tissue : work.prepared.tissues) add(tissue.sheet);
  if (freedom == 0) return {};
  const double per_mean = freedom * (repeats / places);
  return {1.96 * std::sqrt(2 * squares / per_mean), std::sqrt(2 * squares_L / per_mean)};
}

/// In the open line of a tear the tissue is seen bare, as in a loss.
void put_open_line(Work& work, const Ranked& one, TissueCandidate& made) {
  if (made.use != Use::tear || !work.prepared.sheet) return;
  if (!work.open_line) {
    auto setting =
        setting_for(Use::loss, work.question.side, *work.prepared.sheet, work.prepared.over.R);
    if (!setting) return;
    work.open_line.emplace(work.problem);
    RankPlace place{Use::loss, work.question.side, *std::move(setting), std::nullopt};
    place.setting.gloss = work.problem.places[one.place].setting.gloss;
    work.open_line->places = {std::move(place)};
  }
  Ranked bare = one;
  bare.place = 0;
  const auto seen = colours(*work.prepared.drawer, *work.open_line, bare);
  if (seen) made.open_line_de00 = de00(work.problem.lights.front().sheet, seen->by_light.front());
}

/// Both kinds of candidate in one order, as many as were asked for.
Result<void> list_candidates(Work& work, const std::vector<Ranked>& ranked) {
  const double tolerance = work.answer.tolerance_de00;
  const std::vector<double> chance = chances(work, ranked);
  std::vector<TissueCandidate> by_lab;
  const auto& uses = work.question.uses;
  if (std::find(uses.begin(), uses.end(), Use::loss) != uses.end())
    for (const LabTissue& tissue : work.prepared.lab_tissues) {
      auto made = lab_candidate(work, tissue);
      if (!made) return made.error();
      if (!*made) continue;
      ++work.answer.ranked;
      if (const auto filter = filter_on(work, (*made)->dL, tissue.sheet, tissue.plies))
        ++work.answer.filtered[std::string(name_of(*filter))];
      else
        by_lab.push_back(**std::move(made));
    }
  std::stable_sort(by_lab.begin(), by_lab.end(), [](const auto& one, const auto& two) {
    return std::pair(stands_apart(one), one.score) < std::pair(stands_apart(two), two.score);
  });
  // What cannot do the job is no match, however near its colour.
  for (const Ranked& one : ranked)
    work.answer.within += one.de00 <= tolerance && !must_stand_apart(work, one);
  for (const TissueCandidate& one : by_lab)
    work.answer.within += one.aim_de00 <= tolerance && !stands_apart(one);

  const std::size_t all = ranked.size() + by_lab.size();
  const std::size_t asked = std::min(all, work.question.top.value_or(all));
  // The lightest of what cannot be told apart may stand anywhere in a tear's order.
  const bool tears = uses == std::vector<Use>{Use::tear};
  const std::size_t wanted = tears ? all : asked;
  std::size_t r = 0, l = 0;
  while (work.answer.candidates.size() < wanted) {
    const auto lab_first = [&] {
      return std::pair(stands_apart(by_lab[l]), by_lab[l].score) <
             std::pair(must_stand_apart(work, ranked[r]), ranked[r].score);
    };
    const bool lab = r == ranked.size() || (l < by_lab.size() && lab_first());
    if (lab) {
      work.answer.candidates.push_back(std::move(by_lab[l++]));
      continue;
    }
    work.answer.candidates.push_back(candidate_of(work, ranked[r]));
    put_open_line(work, ranked[r], work.answer.candidates.back());
    if (r < chance.size()) work.answer.candidates.back().nearest_probability = chance[r];
    ++r;
  }
  put_groups(work.answer, reading_spread(work).u95_de00);
  if (work.answer.candidates.size() > asked) work.answer.candidates.resize(asked);
  return {};
}

}  // namespace

Result<TissueAnswer> TissueBench::rank(const TissueQuestion& question,
                                       const InputPlace& place) const {
  if (const auto checked = check(question); !checked) return checked.error();
  if (prepared_->over_is_tissue && std::any_of(question.uses.begin(), question.uses.end(),
                                               [](Use use) { return use != Use::lining; }))
    return only_as_lining(prepared_->over.name);
  const CompleteQuestion complete =
      complete_question(question, prepared_->entered, prepared_->sheet.has_value());
  Work work{*prepared_, complete.question, place, {}, {}, {}};
  work.cautions.emplace(complete.question);
  work.problem.weights = complete.question.weights;
  work.problem.fewest_plies = question.fewest_plies;
  work.problem.most_plies = question.most_plies;
  if (const auto put = prepared_->sheet ? put_spectral_lights(work) : put_own_light(work); !put)
    return put.error();
  if (const auto put = put_places(work); !put) return put.error();
  if (const auto put = put_light_sheet(work); !put) return put.error();
  describe(work);
  work.answer.notes.insert(work.answer.notes.end(), complete.notes.begin(), complete.notes.end());
  work.sd_L = reading_spread(work).sd_L;
  const auto ranked = filtered_rank(work);
  if (!ranked) return ranked.error();
  if (const auto listed_all = list_candidates(work, *ranked); !listed_all)
    return listed_all.error();
  work.answer.verdict = verdict_of(work.answer);
  return std::move(work.answer);
}

}  // namespace mendtone::app
