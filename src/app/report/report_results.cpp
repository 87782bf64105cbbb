#include <algorithm>
#include <array>
#include <filesystem>

#include "app/report/report_parts.hpp"
#include "mendtone/adapters/screen_colour.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/base/words.hpp"
#include "mendtone/results/image.hpp"
#include "mendtone/results/tone.hpp"
#include "mendtone/results/walk.hpp"
#include "mendtone/results/wash.hpp"

namespace mendtone::app {
namespace {

using report::Fill;
using report::RecipeCard;
using report::ReportContent;
using results::CorrectAnswer;
using results::DifferenceAnswer;
using results::TissueAnswer;
using results::ToneAnswer;
using results::WashAnswer;

std::string light_of(const std::vector<results::LightNamed>& lights) {
  return lights.empty() ? std::string() : lights.front().name;
}

/// The sheet's tone under the light that the rest is under.
std::optional<report::Tone> sheet_under(const std::vector<report::UnderLight>& by_light,
                                        const std::string& light, int observer_deg) {
  for (const report::UnderLight& under : by_light)
    if (under.light == light) return report::Tone{under.lab, light, observer_deg, {}};
  return std::nullopt;
}

// ---- tone and difference ----

void add(ReportContent& content, const ToneAnswer& answer) {
  for (const results::Tone& one : answer.tones) {
    report::Reading& r =
        reading_at(content, one.name, "as read", {one.lab, one.light, one.observer_deg, {}});
    r.n = static_cast<int>(one.n);
    r.spread_de00 = one.spread_de00;
    r.conditions = one.conditions;
    r.warnings = one.warnings;
  }
}

void add_side(ReportContent& content, const results::Pair& pair, bool before) {
  report::Reading& r =
      reading_at(content, pair.name, before ? "before" : "after",
                 {before ? pair.before : pair.after, pair.light, pair.observer_deg, {}});
  r.n = static_cast<int>(before ? pair.n_before : pair.n_after);
  r.spread_de00 = before ? pair.spread_before_de00 : pair.spread_after_de00;
  r.region = region_in_words(before ? pair.region_before : pair.region_after, r.n);
  if (r.instrument.empty()) r.conditions = pair.conditions;
}

void add(ReportContent& content, const DifferenceAnswer& answer) {
  for (const results::Pair& pair : answer.pairs) {
    add_side(content, pair, true);
    add_side(content, pair, false);
    content.differences.push_back(difference_from(pair, answer.settings.tolerance_de00,
                                                  answer.tolerance_origin, "before", "after"));
  }
  for (const results::Refused& one : answer.refused)
    content.unknowns.push_back("the change of " + one.name + ": " + one.reason);
}

// ---- tissue ----

Fill fill_of(const results::TissueCandidate& candidate, const TissueAnswer& answer) {
  Fill f;
  const std::string light = light_of(answer.lights);
  const int observer = answer.observer_deg;
  f.name = candidate.tissue;
  f.use = name_of(candidate.use);
  f.side = name_of(candidate.side);
  f.plies = candidate.plies;
  f.over = answer.over;
  f.weight_g_m2 = candidate.weight_g_m2;
  f.tone = report::Tone{candidate.lab, light, observer, {}};
  f.sheet = sheet_under(answer.sheet, light, observer);
  f.de00 = candidate.de00;
  f.dL = candidate.dL;
  f.da = candidate.da;
  f.db = candidate.db;
  f.worst_de00 = candidate.worst_de00;
  f.worst_light = candidate.worst_light;
  f.overlap_de00 = candidate.overlap_de00;
  f.score = candidate.score;
  f.nearest_probability = candidate.nearest_probability;
  f.by_light = candidate.by_light;
  f.transmitted = candidate.transmitted;
  f.reasons = candidate.reasons;
  f.cautions = answer.cautions;
  f.cautions.insert(f.cautions.end(), candidate.cautions.begin(), candidate.cautions.end());
  return f;
}

void add(ReportContent& content, const TissueAnswer& answer, const ReportRequest& request) {
  std::size_t shown = 0;
  bool chosen = false;
  for (const results::TissueCandidate& candidate : answer.candidates) {
    Fill fill = fill_of(candidate, answer);
    fill.chosen = !chosen && !request.chosen.empty() && is_named(fill, request.chosen);
    chosen = chosen || fill.chosen;
    bool refused = false;
    for (const auto& [name, why] : request.refused)
      if (!fill.chosen && is_named(fill, name)) {
        fill.refused_because = why;
        refused = true;
      }
    if (shown >= request.most_fills && !fill.chosen && !refused) continue;
    ++shown;
    content.fills.push_back(std::move(fill));
  }
  if (shown < answer.candidates.size())
    content.methods.push_back("Of " + std::to_string(answer.candidates.size()) +
                              " ranked candidates " + std::to_string(shown) + " are listed");
  if (!answer.score_formula.empty())
    content.methods.push_back("Fills are in the order of their score: " + answer.score_formula);
  for (const results::TissueLeftOut& one : answer.left_out)
    content.unknowns.push_back("how " + one.tissue + " would match: " + one.reason);
  for (const std::string& note : answer.notes) content.cautions.push_back(note);
}

// ---- wash and correct ----

std::string title_of(const RecipeCard& card, std::size_t number) {
  std::vector<std::string> names;
  for (const results::Load& load : card.loads) names.push_back(load.colorant);
  return "Wash " + std::to_string(number) + (names.empty() ? "" : ": " + joined(names, ", "));
}

void put_plan(RecipeCard& card, const results::WashPlan& plan) {
  card.tissue = plan.tissue;
  card.over = plan.over;
  card.application = name_of(plan.palette.palette.application);
  if (!plan.dispensing.possible) return;
  card.method = name_of(plan.dispensing.method);
  if (plan.dispensing.volume_ml > 0) card.volume_ml = plan.dispensing.volume_ml;
  if (plan.dispensing.area_m2 > 0) card.area_cm2 = plan.dispensing.area_m2 * 1e4;
}

RecipeCard card_of(const results::WashRecipe& recipe, const results::WashPlan& plan) {
  RecipeCard card;
  const std::string light = plan.lights.front().light;
  const int observer = plan.observer_deg;
  const auto tone = [&](const Lab& lab) { return report::Tone{lab, light, observer, {}}; };
  put_plan(card, plan);
  card.loads = recipe.loads;
  card.load_unit = name_of(recipe.load_unit);
  card.title = title_of(card, recipe.number);
  card.tone = tone(recipe.lab);
  card.sheet = tone(plan.lights.front().sheet);
  card.aim = tone(plan.lights.front().aim);
  card.de00 = recipe.de00;
  card.aim_de00 = recipe.aim_de00;
  card.u95_de00 = recipe.u95_de00;
  card.worst_de00 = recipe.worst_de00;
  card.worst_light = recipe.worst_light;
  card.one_drop_de00 = recipe.one_drop_de00;
  if (recipe.whole_drops) {
    card.whole_drops = tone(recipe.whole_drops->lab);
    card.whole_drops_de00 = recipe.whole_drops->de00;
    card.whole_drops_aim_de00 = recipe.whole_drops->aim_de00;
  }
  card.by_light = recipe.by_light;
  card.transmitted = recipe.transmitted;
  for (const results::MeasuredOut& item : recipe.dispense)
    card.dispense.push_back(
        {item.stock, item.drops ? item.drops_ml : item.ml, item.drops, item.of_volume_ml});
  for (const results::RecipeCoat& coat : recipe.coats)
    card.coats.push_back({coat.n, coat.loads, tone(coat.lab), coat.de00, coat.transmitted.dL});
  card.cautions = recipe.cautions;
  return card;
}

template <class Answer>
void add_recipes(ReportContent& content, const Answer& answer) {
  for (const results::WashRecipe& recipe : answer.recipes)
    content.recipes.push_back(card_of(recipe, answer.problem));
}

std::vector<report::Learned> learned_of(const CorrectAnswer& answer) {
  std::vector<report::Learned> told;
  for (const results::LearnedStrength& one : answer.learned.colorants)
    told.push_back({one.colorant, one.strength, one.u95});
  return told;
}

/// The three differences of a trial, as the correction states them: nothing works them out again.
void put_differences(report::Trial& trial, const CorrectAnswer& answer) {
  if (answer.trial.predicted)
    trial.predicted =
        report::Tone{*answer.trial.predicted, light_of(answer.lights), answer.observer_deg, {}};
  trial.de00_to_sheet = answer.trial.de00;
  trial.de00_to_aim = answer.trial.aim_de00;
  trial.de00_to_prediction = answer.trial.predicted_de00;
  trial.learned = learned_of(answer);
}

void add_correction(ReportContent& content, const CorrectAnswer& answer) {
  report::Trial trial;
  trial.name = answer.trials.empty() ? "Trial " + std::to_string(content.trials.size() + 1)
                                     : answer.trials.back().name;
  trial.measured = report::Tone{answer.trial.lab, light_of(answer.lights), answer.observer_deg, {}};
  put_differences(trial, answer);
  content.trials.push_back(std::move(trial));
}

// ---- image change ----

std::string figures_of(const ChangeFigures& f, double tolerance_de00) {
  return f.region + ": mean " + fixed(f.mean_de00, 2) + ", median " + fixed(f.median_de00, 2) +
         ", 95th percentile " + fixed(f.p95_de00, 2) + ", " + fixed(100 * f.share_above, 1) +
         " % of the area above the tolerance of " + fixed(tolerance_de00, 1) + ". ";
}

/// A map with its bar and what its colours mean; false where it cannot be had so.
bool add_bare_map(ReportContent& content, const std::string& path, const results::MapFrame& frame,
                  const results::ImageChangeAnswer& answer, const std::string& caption) {
  const auto part = [](const std::array<double, 4>& box) {
    return PicturePart{static_cast<int>(box[0]), static_cast<int>(box[1]), static_cast<int>(box[2]),
                       static_cast<int>(box[3])};
  };
  auto map = report_picture(path, report_map_px, Encoding::flat, part(frame.map));
  auto bar = map ? report_picture(path, report_map_px, Encoding::flat, part(frame.bar)) : map;
  if (!bar) return false;
  report::Picture shown;
  shown.kind = "scale";
  shown.title = "scale of " + frame.quantity;
  shown.bytes = std::move(bar->bytes);
  shown.width_px = bar->width_px;
  shown.height_px = bar->height_px;
  content.pictures.push_back(std::move(shown));
  report::Picture picture;
  picture.kind = "change";
  picture.title = frame.quantity;
  picture.alt =
      "Map of " + frame.quantity + " from " + fixed(frame.low, 1) + " to " + fixed(frame.high, 1);
  picture.caption = caption;
  picture.bytes = std::move(map->bytes);
  picture.width_px = map->width_px;
  picture.height_px = map->height_px;
  picture.origin = std::filesystem::path(path).filename().string();
  picture.scale = report::MapScale{frame.quantity, frame.low,       frame.high,
                                   frame.low_word, frame.high_word, content.pictures.size() - 1};
  // The frame spans the whole of the photograph before.
  if (answer.pixels_per_mm && answer.before.width_px > 0)
    picture.px_per_mm = *answer.pixels_per_mm * map->width_px / answer.before.width_px;
  content.pictures.push_back(std::move(picture));
  return true;
}

Error not_ours(const std::string& file) {
  return bad_input(
      "expected a result of tone, difference, tissue, wash, correct or image change, "
      "as --format json gives it; found something else",
      file);
}

/// Reads a result as what it says that it is, and hands it on.
template <class Answer, class Add>
Result<void> add_as(std::string_view text, const std::string& file, Add add_it) {
  const auto answer = results::read<Answer>(text, file);
  if (!answer) return answer.error();
  add_it(*answer);
  return {};
}

}  // namespace

void add_change_maps(ReportContent& content, const results::ImageChangeAnswer& answer,
                     const std::string& file) {
  std::string caption = "Photographs compared under D50, 2 degrees, CIEDE2000. ";
  for (const ChangeFigures& region : answer.regions)
    caption += figures_of(region, answer.tolerance_de00);
  for (const std::string& name : answer.pictures) {
    std::filesystem::path path = name;
    if (!std::filesystem::exists(path)) path = std::filesystem::path(file).parent_path() / name;
    const auto frame = std::find_if(answer.frames.begin(), answer.frames.end(),
                                    [&](const results::MapFrame& f) { return f.file == name; });
    if (frame == answer.frames.end() ||
        !add_bare_map(content, path.string(), *frame, answer, caption))
      add_picture(content, path.string(), "change",
                  "Change map " + std::filesystem::path(name).stem().string(), caption);
    caption.clear();
  }
}

bool is_named(const Fill& fill, const std::string& wanted) {
  return wanted == fill.name || wanted == fill.name + ":" + std::to_string(fill.plies);
}

std::optional<report::Region> region_in_words(const std::optional<MeanRegion>& region, int n) {
  if (!region) return std::nullopt;
  return report::Region{region->L_half, region->ab_major, region->ab_minor, region->ab_angle_deg,
                        std::to_string(n) + " repeats, Student and Hotelling"};
}

report::Difference difference_from(const results::Pair& pair, double tolerance_de00,
                                   const std::string& tolerance_origin, const std::string& from,
                                   const std::string& to) {
  report::Difference d;
  d.spot = pair.name;
  d.from_stage = from;
  d.to_stage = to;
  d.light = pair.light;
  d.observer_deg = pair.observer_deg;
  d.de00 = pair.change.de00;
  d.low = pair.change.interval95[0];
  d.high = pair.change.interval95[1];
  d.u95 = pair.change.u95;
  d.de_ab = pair.de_ab;
  d.dL = pair.parts.dL;
  d.da = pair.parts.da;
  d.db = pair.parts.db;
  d.dC = pair.parts.dC;
  d.dH = pair.parts.dH;
  d.tolerance = tolerance_de00;
  d.tolerance_origin = tolerance_origin;
  d.verdict = name_of(pair.change.verdict);
  d.more_readings = pair.change.more_readings;
  d.grey_rating = pair.grey_scale.rating;
  d.warnings = pair.warnings;
  return d;
}

report::Reading& reading_at(ReportContent& content, const std::string& spot,
                            const std::string& stage, const report::Tone& tone,
                            const std::string& backing) {
  for (report::Reading& known : content.readings)
    if (known.spot == spot && known.stage == stage && known.tone.light == tone.light &&
        (known.backing == backing || known.backing.empty() || backing.empty()))
      return known;
  report::Reading made;
  made.spot = spot;
  made.stage = stage;
  made.tone = tone;
  made.backing = backing;
  content.readings.push_back(std::move(made));
  return content.readings.back();
}

Result<void> add_result(ReportContent& content, std::string_view text, const std::string& file,
                        const ReportRequest& request) {
  const auto head = results::head_of(text, file);
  if (!head) return not_ours(file);
  if (head->schema == "tone")
    return add_as<ToneAnswer>(text, file, [&](const auto& answer) { add(content, answer); });
  if (head->schema == "difference")
    return add_as<DifferenceAnswer>(text, file, [&](const auto& answer) { add(content, answer); });
  if (head->schema == "tissue")
    return add_as<TissueAnswer>(text, file,
                                [&](const auto& answer) { add(content, answer, request); });
  if (head->schema == "wash")
    return add_as<WashAnswer>(text, file,
                              [&](const auto& answer) { add_recipes(content, answer); });
  if (head->schema == "correct")
    return add_as<CorrectAnswer>(text, file, [&](const auto& answer) {
      add_recipes(content, answer);
      add_correction(content, answer);
    });
  if (head->schema == "image_change")
    return add_as<results::ImageChangeAnswer>(
        text, file, [&](const auto& answer) { add_change_maps(content, answer, file); });
  return not_ours(file);
}

Result<bool> add_fill_from_result(ReportContent& content, std::string_view json,
                                  const Fill& decided) {
  const auto answer = results::read<TissueAnswer>(json, "fill of the record");
  if (!answer) return answer.error();
  const results::TissueCandidate* meant = nullptr;
  for (const results::TissueCandidate& candidate : answer->candidates) {
    if (candidate.tissue != decided.name ||
        (decided.plies > 0 && candidate.plies != decided.plies) ||
        (!decided.use.empty() && name_of(candidate.use) != decided.use) ||
        (!decided.side.empty() && name_of(candidate.side) != decided.side))
      continue;
    if (meant) return false;  // how many plies was never said: no figure is known to be its own
    meant = &candidate;
  }
  if (!meant || (!decided.over.empty() && decided.over != answer->over)) return false;
  Fill fill = fill_of(*meant, *answer);
  fill.loss = decided.loss;
  fill.outline = decided.outline;
  fill.chosen = decided.chosen;
  fill.refused_because = decided.refused_because;
  fill.verdict = decided.verdict;
  fill.entered = decided.entered;
  if (!decided.reasons.empty()) fill.reasons = decided.reasons;
  content.fills.push_back(std::move(fill));
  return true;
}

Result<std::optional<RecipeCard>> recipe_in(std::string_view json, std::size_t number) {
  const auto head = results::head_of(json, "wash of the record");
  if (!head) return head.error();
  const auto in = [&](const auto& answer) -> Result<std::optional<RecipeCard>> {
    if (!answer) return answer.error();
    if (number < 1 || number > answer->recipes.size()) return std::optional<RecipeCard>();
    return std::optional(card_of(answer->recipes[number - 1], answer->problem));
  };
  if (head->schema == "correct")
    return in(results::read<CorrectAnswer>(json, "wash of the record"));
  if (head->schema == "wash") return in(results::read<WashAnswer>(json, "wash of the record"));
  return std::optional<RecipeCard>();
}

Fill toned_fill(const RecipeCard& card, const std::string& title, const Fill& decided) {
  Fill fill = decided;
  fill.name = (decided.name.empty() ? card.tissue : decided.name) + ", toned by " + title;
  if (fill.over.empty()) fill.over = card.over;
  fill.tone = card.whole_drops ? card.whole_drops : card.tone;
  fill.sheet = card.sheet;
  fill.aim = card.aim;
  fill.de00 = card.whole_drops ? card.whole_drops_de00 : card.de00;
  fill.u95_de00 = card.u95_de00;
  if (!card.whole_drops) {  // lamps are computed for the exact loads alone
    fill.worst_de00 = card.worst_de00;
    fill.worst_light = card.worst_light;
    fill.by_light = card.by_light;
  }
  if (fill.tone && fill.sheet) {
    fill.dL = fill.tone->lab.L - fill.sheet->lab.L;
    fill.da = fill.tone->lab.a - fill.sheet->lab.a;
    fill.db = fill.tone->lab.b - fill.sheet->lab.b;
  }
  fill.transmitted = card.transmitted;
  return fill;
}

Result<void> add_ranking(ReportContent& content, std::string_view json, std::size_t most,
                         const Fill& place) {
  const auto answer = results::read<TissueAnswer>(json, "ranking of the record");
  if (!answer) return answer.error();
  const std::size_t shown = std::min(most, answer->candidates.size());
  if (!answer->score_formula.empty())
    content.methods.push_back("Fills are in the order of their score: " + answer->score_formula);
  for (std::size_t i = 0; i < shown; ++i) {
    Fill fill = fill_of(answer->candidates[i], *answer);
    const bool told =
        std::any_of(content.fills.begin(), content.fills.end(), [&](const Fill& known) {
          return known.name == fill.name && known.plies == fill.plies && known.loss == place.loss;
        });
    if (told) continue;
    fill.loss = place.loss;
    fill.outline = place.outline;
    content.fills.push_back(std::move(fill));
  }
  if (shown < answer->candidates.size())
    content.methods.push_back("Of " + std::to_string(answer->candidates.size()) +
                              " ranked candidates" +
                              (place.loss.empty() ? "" : " for " + place.loss) + " " +
                              std::to_string(shown) + " are listed");
  return {};
}

Result<bool> learn_from_result(report::Trial& trial, std::string_view parameters,
                               std::string_view json) {
  const auto request = results::read<results::CorrectRequest>(
      parameters, "correction of the record", results::Reading::kept);
  if (!request) return request.error();
  const auto& from = request->trials.files;
  if (from.empty() || from.back() != trial.name) return false;  // it tells of its last trial
  const auto answer = results::read<CorrectAnswer>(json, "correction of the record");
  if (!answer) return answer.error();
  put_differences(trial, *answer);
  return true;
}

}  // namespace mendtone::app
