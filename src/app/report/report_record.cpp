#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>

#include "app/report/report_parts.hpp"
#include "mendtone/adapters/mask_file.hpp"
#include "mendtone/adapters/sha256.hpp"
#include "mendtone/adapters/sqlite_store.hpp"
#include "mendtone/app/tone/difference.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/base/words.hpp"
#include "mendtone/colour/repeats.hpp"
#include "mendtone/colour/series.hpp"
#include "mendtone/record/gate.hpp"
#include "mendtone/record/unreadable.hpp"

namespace mendtone::app {
namespace {

using record::Id;
using record::Kept;
using record::Link;
using record::WholeSheet;
using report::ReportContent;

template <class T>
const T* find(const std::vector<Kept<T>>& all, Link id) {
  if (!id) return nullptr;
  for (const Kept<T>& one : all)
    if (one.id == *id) return &one.value;
  return nullptr;
}

std::string name_or_number(const std::string& name, const char* kind, Id id) {
  return name.empty() ? std::string(kind) + " " + std::to_string(id) : name;
}

Result<Id> sheet_named(const record::Store& store, const std::string& name) {
  const auto sheets = record::current<record::Sheet>(store);
  if (!sheets) return sheets.error();
  std::string known;
  for (const Kept<record::Sheet>& sheet : *sheets) {
    if (sheet.value.name == name || sheet.value.object_id == name) return sheet.id;
    known += (known.empty() ? "" : ", ") + sheet.value.name;
  }
  return bad_request(
      "the record has no sheet '" + name + "'; it has " + (known.empty() ? "none yet" : known),
      "--sheet");
}

/// Gathers one sheet, part by part.
class Gathering {
 public:
  Gathering(ReportContent& content, const record::Store& store, const WholeSheet& whole,
            const Viewing& viewing, const ReportRequest& request)
      : content_(content), store_(store), whole_(whole), viewing_(viewing), request_(request) {}

  Result<void> all() {
    about_the_object();
    people_and_days();
    photographs();
    spots();
    if (auto done = readings(); !done) return done.error();
    if (auto done = changes(); !done) return done.error();
    if (auto done = recipes(); !done) return done;
    if (auto done = fills(); !done) return done;
    if (auto done = trials(); !done) return done.error();
    endings();
    baths_and_notes();
    change_maps();
    gate();
    add_entered(content_, store_, whole_);
    return sources();
  }

 private:
  struct Stage {
    std::string name;
    ReadFile file;
    std::string taken, operator_name, instrument;
  };

  void about_the_object() {
    const record::Sheet& sheet = whole_.sheet.value;
    content_.object_id = sheet.object_id.empty() ? sheet.name : sheet.object_id;
    content_.title = sheet.name;
    std::string text = sheet.description;
    const auto add = [&](const std::string& part) {
      if (!part.empty()) text += (text.empty() ? "" : "; ") + part;
    };
    add(sheet.support);
    add(sheet.media);
    if (sheet.width_mm && sheet.height_mm)
      add(fixed(*sheet.width_mm, 0) + " \u00d7 " + fixed(*sheet.height_mm, 0) + " mm");
    if (sheet.grammage_g_m2) add(fixed(*sheet.grammage_g_m2, 0) + " g/m\u00b2");
    content_.object_description = text;
  }

  /// Who made the entries, and from which day to which.
  void people_and_days() {
    std::vector<std::string> people;
    const auto see = [&](const record::Entry& entry) {
      report_add(people, entry.who);
      const std::string day = entry.when.substr(0, 10);
      if (content_.first_day.empty() || day < content_.first_day) content_.first_day = day;
      content_.last_day = std::max(content_.last_day, day);
    };
    see(whole_.sheet.entry);
    const auto see_all = [&](const auto& things) {
      for (const auto& kept : things) see(kept.entry);
    };
    see_all(whole_.readings);
    see_all(whole_.losses);
    see_all(whole_.baths);
    see_all(whole_.trials);
    see_all(whole_.fills);
    see_all(whole_.notes);
    days_as_stated();
    content_.operator_name = joined(people, ", ");
  }

  /// Days that were stated for the work itself come before the days of typing.
  void days_as_stated() {
    std::vector<std::string> days;
    const auto add = [&](const std::string& day) {
      if (!day.empty()) days.push_back(day);
    };
    for (const auto& kept : whole_.readings) add(kept.value.taken);
    for (const auto& kept : whole_.baths) add(kept.value.given);
    for (const auto& kept : whole_.trials) add(kept.value.made);
    for (const auto& kept : whole_.fills) add(kept.value.carried_out);
    if (days.empty()) return;
    const auto [first, last] = std::minmax_element(days.begin(), days.end());
    content_.first_day = *first;
    content_.last_day = *last;
  }

  static void report_add(std::vector<std::string>& names, const std::string& name) {
    if (!name.empty() && std::find(names.begin(), names.end(), name) == names.end())
      names.push_back(name);
  }

  void photographs() {
    for (const Kept<record::Photograph>& kept : whole_.photographs) {
      const record::Photograph& photo = kept.value;
      if (is_mask(kept.id)) continue;  // drawn as an outline
      const std::string name = name_or_number(photo.name, "photograph", kept.id);
      const auto hash = sha256_of_file(photo.path);
      if (!hash) {
        content_.unknowns.push_back("what photograph " + name + " shows: " + hash.error().text());
        continue;
      }
      if (!photo.sha256.empty() && *hash != photo.sha256) {
        content_.unknowns.push_back("what photograph " + name +
                                    " shows: its file is no longer the one that was recorded");
        continue;
      }
      const bool first = pictures_.empty();
      const auto shrunk = add_picture(
          content_, photo.path, first ? "sheet" : "evidence", name,
          joined({name.find(photo.stage) == std::string::npos ? photo.stage : "", photo.note}));
      if (!shrunk) continue;
      report::Picture& picture = content_.pictures.back();
      picture.origin += ", sha256 " + *hash;
      picture.stage = photo.stage;
      picture.lighting = photo.lighting;
      pictures_[kept.id] = {content_.pictures.size() - 1, *shrunk};
    }
  }

  struct Shown {
    std::size_t index;
    double shrunk;
  };

  report::Outline outline_of(const record::Outline& polygons, Link photograph) const {
    report::Outline outline;
    if (polygons.empty()) return outline;
    double shrunk = 1;
    if (photograph)
      if (const auto shown = pictures_.find(*photograph); shown != pictures_.end())
        shrunk = shown->second.shrunk;
    for (const record::Corner& corner : polygons.front())
      outline.points.push_back({corner.x / shrunk, corner.y / shrunk});
    return outline;
  }

  /// Its outline as drawn, else that of its mask.
  report::Outline outline_of(const record::Loss& loss) const {
    if (!loss.outline.empty() || !loss.mask) return outline_of(loss.outline, loss.photograph);
    const auto* mask = find(whole_.photographs, loss.mask);
    if (!mask) return {};
    const auto drawn = mask_outline(mask->path);
    if (!drawn) return {};
    record::Outline outline(1);
    for (const Point& corner : *drawn) outline.front().push_back({corner.x, corner.y});
    return outline_of(outline, loss.photograph);
  }

  bool is_mask(Id photograph) const {
    return std::any_of(
        whole_.losses.begin(), whole_.losses.end(),
        [&](const Kept<record::Loss>& loss) { return loss.value.mask == photograph; });
  }

  std::optional<std::size_t> picture_of(Link photograph) const {
    if (!photograph) return std::nullopt;
    const auto shown = pictures_.find(*photograph);
    return shown == pictures_.end() ? std::nullopt : std::optional(shown->second.index);
  }

  void spots() {
    for (const Kept<record::Spot>& kept : whole_.spots) {
      const record::Spot& spot = kept.value;
      std::string place = spot.place;
      if (!spot.template_name.empty())
        place += (place.empty() ? "" : "; ") + ("template " + spot.template_name);
      content_.spots.push_back({name_or_number(spot.name, "spot", kept.id), place,
                                outline_of(spot.outline, spot.photograph),
                                picture_of(spot.photograph)});
    }
    for (const Kept<record::Loss>& kept : whole_.losses) {
      const record::Loss& loss = kept.value;
      std::string place = loss.nature + (loss.place.empty() ? "" : ", " + loss.place);
      if (loss.area_cm2) place += "; " + fixed(*loss.area_cm2, 1) + " cm\u00b2";
      const std::string name = name_or_number(loss.name, "loss", kept.id);
      content_.spots.push_back({name, place, outline_of(loss), picture_of(loss.photograph)});
      content_.damages.push_back({name, loss.nature, loss.place, loss.area_cm2});
    }
  }

  std::string place_of(const record::KeptReading& reading) const {
    if (const auto* spot = find(whole_.spots, reading.spot)) return spot->name;
    if (const auto* loss = find(whole_.losses, reading.loss)) return loss->name;
    return reading.reading.name;
  }

  /// Readings by stage, in the order in which the stages were first entered.
  Stage& stage_named(const std::string& name) {
    for (Stage& stage : stages_)
      if (stage.name == name) return stage;
    stages_.push_back({name, {}, {}, {}, {}});
    return stages_.back();
  }

  Result<void> readings() {
    for (const Kept<record::KeptReading>& kept : whole_.readings) {
      const record::KeptReading& reading = kept.value;
      Reading named = reading.reading;
      named.name = place_of(reading);
      named.role = Role::unstated;  // a spot is a spot, whatever file it came in
      Stage& stage = stage_named(reading.stage.empty() ? "stage not stated" : reading.stage);
      if (stage.taken.empty()) stage.taken = reading.taken;
      if (stage.operator_name.empty()) stage.operator_name = reading.operator_name;
      stage.file.readings.push_back(std::move(named));
    }
    for (const Stage& stage : stages_) {
      const std::size_t before = content_.readings.size();
      if (auto added = add_readings(content_, stage.file, stage.name, viewing_); !added)
        return added.error();
      for (std::size_t i = before; i < content_.readings.size(); ++i) {
        content_.readings[i].taken = stage.taken;
        content_.readings[i].operator_name = stage.operator_name;
      }
    }
    return {};
  }

  static ReadFile only(const ReadFile& file, const std::string& spot) {
    ReadFile one;
    for (const Reading& reading : file.readings)
      if (reading.name == spot) one.readings.push_back(reading);
    return one;
  }

  /// What the instrument is good for from one session to the next, as its maker states it.
  Result<ChangeSettings> settings() const {
    ChangeSettings settings;
    const auto instruments = record::current<record::Instrument>(store_);
    if (!instruments) return instruments.error();
    for (const Kept<record::KeptReading>& kept : whole_.readings)
      if (const auto* instrument = find(*instruments, kept.value.instrument))
        settings.reproducibility_de00 =
            std::max(settings.reproducibility_de00, instrument->reproducibility_de00.value_or(0));
    return settings;
  }

  /// First against last for every spot, and the whole series where there are three stages or more.
  Result<void> changes() {
    const auto with = settings();
    if (!with) return with.error();
    std::vector<std::string> done;
    for (const Stage& stage : stages_)
      for (const Reading& reading : stage.file.readings) {
        if (std::find(done.begin(), done.end(), reading.name) != done.end()) continue;
        done.push_back(reading.name);
        change_of(reading.name, *with);
      }
    return {};
  }

  void change_of(const std::string& spot, const ChangeSettings& with) {
    std::vector<const Stage*> at;
    std::vector<ReadFile> files;
    for (const Stage& stage : stages_) {
      ReadFile one = only(stage.file, spot);
      if (one.readings.empty()) continue;
      at.push_back(&stage);
      files.push_back(std::move(one));
    }
    if (at.size() < 2) return;
    report::Series series;
    series.spot = spot;
    series.steps = "stage";
    for (std::size_t i = 1; i < at.size(); ++i) {
      const auto answer = difference_of(files.front(), files[i], viewing_, with);
      if (!answer) {
        content_.unknowns.push_back("the change of " + spot + " to " + at[i]->name + ": " +
                                    answer.error().message);
        continue;
      }
      const bool last = i + 1 == at.size();
      for (const Pair& pair : answer->pairs) {
        report::Difference d = difference_from(pair, with.tolerance_de00, tolerance_origin(with),
                                               at.front()->name, at[i]->name);
        if (&pair == &answer->pairs.front()) add_point(series, d, at[i]->name);
        if (last) content_.differences.push_back(std::move(d));
      }
    }
    if (at.size() < 3 || series.points.empty()) return;
    report::SeriesPoint start;
    start.label = at.front()->name;
    start.de00 = 0;
    add_bath(start, at.front()->name);
    series.points.insert(series.points.begin(), start);
    series.tolerance = with.tolerance_de00;
    series.remark = remark_on(files, at, with);
    content_.series.push_back(std::move(series));
  }

  void add_point(report::Series& series, const report::Difference& d, const std::string& stage) {
    series.light = d.light;
    series.observer_deg = d.observer_deg;
    report::SeriesPoint point;
    point.label = stage;
    point.de00 = d.de00;
    point.low = d.low;
    point.high = d.high;
    add_bath(point, stage);
    series.points.push_back(std::move(point));
  }

  /// The bath of a stage: the one that bears its name.
  void add_bath(report::SeriesPoint& point, const std::string& stage) const {
    for (const Kept<record::Bath>& kept : whole_.baths) {
      const record::Bath& bath = kept.value;
      const bool by_number =
          bath.number && stage.find("bath " + std::to_string(*bath.number)) != std::string::npos;
      if (!by_number && (bath.name.empty() || stage != bath.name)) continue;
      point.minutes = bath.minutes;
      point.temperature_c = bath.temperature_c;
      point.ph = bath.ph;
      point.conductivity_us_cm = bath.conductivity_us_cm;
      point.note = bath.water;
      return;
    }
  }

  /// From which stage on nothing changed the colour any more than the uncertainty.
  std::string remark_on(const std::vector<ReadFile>& files, const std::vector<const Stage*>& at,
                        const ChangeSettings& with) const {
    WeightsShelf shelf(viewing_.lights.front(), viewing_.observer);
    const Reading& first = files.front().readings.front();
    std::vector<RepeatedColour> colours;
    for (const ReadFile& file : files)
      for (const Repeats& repeats : group_repeats(file.readings)) {
        if (!repeats.spectral() || repeats.first().backing != first.backing) continue;
        const auto weights = shelf.at(repeats.first().spectrum->grid);
        if (!weights) return {};
        colours.push_back(*repeated_colour(repeats, **weights));
        break;
      }
    if (colours.size() != files.size()) return {};
    std::vector<ColourSeries> readings;
    for (const RepeatedColour& colour : colours) readings.push_back({colour.lab, colour.each});
    const auto settled = mendtone::series(readings, with)->settled_from;
    if (!settled) return "The last step still changed the colour more than the uncertainty";
    if (*settled == 0) return "No step changed the colour more than the uncertainty";
    return "From " + at[*settled]->name +
           " on no further step changed the colour more than the uncertainty";
  }

  const record::Computation* computation(Link id) const { return find(whole_.computations, id); }

  std::string tissue_name(Link id) const {
    const record::Tissue* tissue = find(whole_.tissues, id);
    return tissue ? tissue->name : std::string();
  }

  /// Each fill as it was entered; a ranking or a wash that it names gives its figures.
  Result<void> fills() {
    for (const Kept<record::Fill>& kept : whole_.fills) {
      const record::Fill& fill = kept.value;
      report::Fill decided;
      decided.entered = facts_of(store_, kept, {"loss", "verdict", "reasons"});
      decided.verdict = fill.verdict;
      decided.plies = static_cast<int>(fill.plies.value_or(0));
      decided.use = fill.use;
      decided.side = fill.side;
      decided.over = fill.over;
      if (const auto* loss = find(whole_.losses, Link(fill.loss))) {
        decided.loss = loss->name;
        decided.outline = outline_of(*loss);
      }
      decided.chosen = fill.verdict == "chosen";
      if (!decided.chosen) decided.refused_because = fill.reasons;
      decided.name = fill.tissue ? tissue_name(fill.tissue) : fill.name;
      if (const auto* tissue = find(whole_.tissues, fill.tissue)) {
        if (!tissue->lot.empty()) decided.entered.push_back({"lot", tissue->lot});
        if (tissue->grammage_g_m2)
          decided.entered.push_back({"grammage_g_m2", fixed(*tissue->grammage_g_m2, 1)});
      }
      const auto* from = computation(fill.computation);
      if (decided.chosen && !fill.reasons.empty()) decided.reasons.push_back(fill.reasons);
      auto is_toned = toned(fill, decided);
      if (!is_toned) return is_toned.error();
      if (*is_toned) continue;
      if (from && from->verb == "tissue" && !fill.recipe) {
        auto added = add_fill_from_result(content_, from->result, decided);
        if (added && *added) continue;
        if (!added) not_read("the figures of " + decided.name, added.error());
      }
      content_.fills.push_back(std::move(decided));
    }
    return rankings();
  }

  /// One kept result that cannot be understood is said; the rest of the report stands.
  void not_read(const std::string& what, const Error& error) {
    report_add(content_.unknowns, what + ": the kept result cannot be read (" + error.text() + ")");
  }

  /// A fill that a recipe of the record tones.
  Result<bool> toned(const record::Fill& fill, report::Fill decided) {
    const auto* recipe = find(whole_.recipes, fill.recipe);
    const auto* wash = recipe ? computation(recipe->computation) : nullptr;
    if (!wash || !recipe->number) return false;
    auto card = recipe_in(wash->result, static_cast<std::size_t>(*recipe->number));
    if (!card) not_read("the wash of " + decided.name, card.error());
    if (!card || !*card) return false;
    content_.fills.push_back(
        toned_fill(**card, name_or_number(recipe->name, "wash", *fill.recipe), decided));
    fill_recipes_[content_.fills.size() - 1] = *fill.recipe;
    return true;
  }

  /// A fill whose wash was tried was read: the last trial that has a reading.
  void read_fills() {
    for (const auto& [at, recipe] : fill_recipes_)
      for (std::size_t i = 0; i < whole_.trials.size(); ++i) {
        const report::Trial& trial = content_.trials[i];
        if (whole_.trials[i].value.recipe != recipe || !trial.measured) continue;
        content_.fills[at].measured = trial.measured;
        content_.fills[at].measured_on = trial.name;
        content_.fills[at].measured_de00 = trial.de00_to_sheet;
        content_.fills[at].measured_u95 = interval_of(content_.fills[at], whole_.trials[i].id);
      }
  }

  /// How sure the read difference of a fill from its sheet is, from the repeats of both; nothing
  /// where the two cannot be compared or do not give the difference that was stated.
  std::optional<std::array<double, 2>> interval_of(const report::Fill& fill, Id trial) const {
    ReadFile sheet, read;
    for (const Stage& stage : stages_) {
      ReadFile one = only(stage.file, fill.loss);
      if (!one.readings.empty()) sheet = std::move(one);  // the latest stage
    }
    for (const Kept<record::KeptReading>& kept : whole_.trial_readings)
      if (kept.value.trial == trial) {
        read.readings.push_back(kept.value.reading);
        read.readings.back().name = fill.loss;
        read.readings.back().role = Role::unstated;
      }
    if (sheet.readings.empty() || read.readings.empty() || !fill.measured_de00) return {};
    const auto with = settings();
    const auto answer = with ? difference_of(sheet, read, viewing_, *with)
                             : Result<results::DifferenceAnswer>(with.error());
    constexpr double same =
        0.05;  // what is stated is rounded to 0.01; another target is farther off
    if (!answer || answer->pairs.empty() ||
        std::abs(answer->pairs.front().change.de00 - *fill.measured_de00) > same)
      return {};
    return answer->pairs.front().change.interval95;
  }

  /// Washes that were computed for this sheet and of which none was entered as a recipe.
  Result<void> computed_washes() {
    for (const Kept<record::Computation>& kept : whole_.computations) {
      if (kept.value.verb != "wash") continue;
      const bool is_entered = std::any_of(
          whole_.recipes.begin(), whole_.recipes.end(),
          [&](const Kept<record::Recipe>& r) { return r.value.computation == kept.id; });
      if (is_entered) continue;
      auto card = recipe_in(kept.value.result, 1);
      if (!card)
        not_read(name_or_number(kept.value.name, "a computed wash", kept.id), card.error());
      if (!card || !*card) continue;
      (*card)->title = name_or_number(kept.value.name, "computed wash", kept.id) + ", recipe 1";
      if (const auto* loss = find(whole_.losses, kept.value.loss)) (*card)->loss = loss->name;
      content_.recipes.push_back(**std::move(card));
    }
    return {};
  }

  /// The latest ranking for each loss: what else was there to choose from.
  Result<void> rankings() {
    std::map<Link, const record::Computation*> latest;
    for (const Kept<record::Computation>& kept : whole_.computations)
      if (kept.value.verb == "tissue") latest[kept.value.loss] = &kept.value;
    for (const auto& [id, ranking] : latest) {
      report::Fill place;
      if (const auto* loss = find(whole_.losses, id)) {
        place.loss = loss->name;
        place.outline = outline_of(*loss);
      }
      if (auto added = add_ranking(content_, ranking->result, request_.most_fills, place); !added)
        not_read("the ranking for " + (place.loss.empty() ? "this sheet" : place.loss),
                 added.error());
    }
    return {};
  }

  bool is_taken(Id recipe) const {
    const bool in_fill =
        std::any_of(whole_.fills.begin(), whole_.fills.end(), [&](const Kept<record::Fill>& f) {
          return f.value.recipe == recipe && f.value.verdict == "chosen";
        });
    return in_fill || whole_.recipes.size() == 1 ||
           std::any_of(whole_.trials.begin(), whole_.trials.end(),
                       [&](const Kept<record::Trial>& t) { return t.value.recipe == recipe; });
  }

  Result<void> recipes() {
    for (const Kept<record::Recipe>& kept : whole_.recipes) {
      const record::Recipe& recipe = kept.value;
      report::RecipeCard decided;
      decided.title = name_or_number(recipe.name, "Wash", kept.id);
      decided.chosen = is_taken(kept.id);
      decided.entered = true;
      decided.tissue = tissue_name(recipe.tissue);
      if (const auto* loss = find(whole_.losses, loss_of(recipe))) decided.loss = loss->name;
      if (!recipe.note.empty()) decided.notes.push_back(recipe.note);
      const auto* from = computation(recipe.computation);
      if (from && recipe.number) {
        auto found = recipe_in(from->result, static_cast<std::size_t>(*recipe.number));
        if (!found) not_read("the figures of " + decided.title, found.error());
        if (found && *found) {
          cards_[kept.id] = content_.recipes.size();
          content_.recipes.push_back(as_decided(*std::move(*found), decided));
          continue;
        }
      }
      for (const auto& [colorant, load] : recipe.loads) decided.loads.push_back({colorant, load});
      decided.load_unit = recipe.load_unit;
      decided.application = recipe.application;
      decided.method = recipe.method;
      decided.notes.insert(decided.notes.begin(), "Entered by hand; nothing was computed for it");
      content_.recipes.push_back(std::move(decided));
    }
    return computed_washes();
  }

  /// The loss of a recipe: as entered, else that of the list which it comes from.
  Link loss_of(const record::Recipe& recipe) const {
    if (recipe.loss) return recipe.loss;
    const auto* from = computation(recipe.computation);
    return from ? from->loss : Link();
  }

  static report::RecipeCard as_decided(report::RecipeCard card, const report::RecipeCard& decided) {
    card.title = decided.title;
    card.loss = decided.loss;
    card.chosen = decided.chosen;
    card.entered = decided.entered;
    card.notes.insert(card.notes.begin(), decided.notes.begin(), decided.notes.end());
    if (!decided.tissue.empty()) card.tissue = decided.tissue;
    return card;
  }

  Result<void> trials() {
    for (const Kept<record::Trial>& kept : whole_.trials) {
      report::Trial trial;
      trial.name = name_or_number(kept.value.name, "Trial", kept.id);
      trial.when = kept.value.made;
      if (!kept.value.note.empty()) trial.notes.push_back(kept.value.note);
      const report::RecipeCard* card = nullptr;
      if (const auto at = cards_.find(kept.value.recipe); at != cards_.end())
        card = &content_.recipes[at->second];
      if (card) trial.predicted = card->whole_drops ? card->whole_drops : card->tone;
      if (auto done = measure(trial, kept.id); !done) return done.error();
      for (auto c = whole_.computations.rbegin(); c != whole_.computations.rend(); ++c)
        if (c->value.verb == "correct") {
          auto learned = learn_from_result(trial, c->value.parameters, c->value.result);
          if (!learned) not_read("what " + trial.name + " taught", learned.error());
          if (learned && *learned) break;
        }
      content_.trials.push_back(std::move(trial));
    }
    read_fills();
    return {};
  }

  /// The mean of a trial's dry readings under the viewing light.
  Result<void> measure(report::Trial& trial, Id id) {
    ReadFile file;
    for (const Kept<record::KeptReading>& reading : whole_.trial_readings)
      if (reading.value.trial == id) {
        file.readings.push_back(reading.value.reading);
        file.readings.back().name = trial.name;
      }
    if (file.readings.empty()) return {};
    ReportContent apart;
    if (auto added = add_readings(apart, file, "trial", viewing_); !added) return added.error();
    if (apart.readings.empty()) return {};
    trial.measured = apart.readings.front().tone;
    if (trial.predicted && trial.predicted->light == trial.measured->light)
      trial.de00_to_prediction = de00(trial.predicted->lab, trial.measured->lab);
    return {};
  }

  void endings() {
    for (const Kept<record::Loss>& kept : whole_.losses)
      if (!kept.value.ended.empty())
        content_.endings.push_back({name_or_number(kept.value.name, "loss", kept.id),
                                    kept.value.ended, kept.value.ended_why});
  }

  void baths_and_notes() {
    std::string all;
    for (const Kept<record::Bath>& kept : whole_.baths) {
      const record::Bath& bath = kept.value;
      std::string text = bath.water;
      const auto add = [&](const std::optional<double>& value, int decimals, const char* before,
                           const char* after) {
        if (value) text += (text.empty() ? "" : ", ") + (before + fixed(*value, decimals)) + after;
      };
      add(bath.minutes, 0, "", " min");
      add(bath.temperature_c, 0, "", " \u00b0C");
      add(bath.ph, 1, "pH ", "");
      add(bath.conductivity_us_cm, 0, "", " \u00b5S/cm");
      if (!bath.additive.empty()) text += ", with " + bath.additive;
      const std::string number = bath.number ? std::to_string(*bath.number) : "";
      all += (all.empty() ? "" : "; ") + (bath.name.empty() ? "bath " + number : bath.name) + ": " +
             text;
    }
    if (!all.empty()) content_.notes.push_back({"Baths", all});
    for (const Kept<record::Note>& note : whole_.notes)
      content_.notes.push_back({"", note.value.text});
  }

  /// What was owed before a wet step: done, or left open and why.
  void gate() {
    const std::vector<record::GateItem> items = record::gate_of(whole_);
    std::string all;
    for (const record::GateItem& item : items) all += (all.empty() ? "" : "; ") + text_of(item);
    if (!all.empty()) content_.notes.push_back({"Before the next wet step", all});
  }

  void change_maps() {
    for (const Kept<record::Computation>& kept : whole_.computations)
      if (kept.value.verb.rfind("image", 0) == 0 &&
          kept.value.verb.find("change") != std::string::npos)
        if (auto added = add_result(content_, kept.value.result, "", {}); !added)
          content_.unknowns.push_back("what a change map of the record shows: " +
                                      added.error().message);
    for (report::Picture& picture : content_.pictures) check_scale(picture);
  }

  /// A photograph that is smaller than the sheet which it shows states a wrong resolution: no scale
  /// bar is drawn by it. Half of a sheet may have been photographed; its longer side counts.
  void check_scale(report::Picture& picture) {
    const record::Sheet& sheet = whole_.sheet.value;
    if (!picture.px_per_mm || !sheet.width_mm || !sheet.height_mm) return;
    const double longer_px = std::max(picture.width_px, picture.height_px);
    const double photographed_mm = longer_px / *picture.px_per_mm;
    const double sheet_mm = std::max(*sheet.width_mm, *sheet.height_mm);
    if (photographed_mm >= 0.5 * sheet_mm && photographed_mm <= 4 * sheet_mm) return;
    picture.px_per_mm.reset();
    const std::string told = "the scale of the photographs: by its file the photograph is " +
                             fixed(photographed_mm, 0) + " mm long, by its entry the sheet is " +
                             fixed(sheet_mm, 0) + " mm; no scale bar is drawn";
    report_add(content_.unknowns, told);
  }

  Result<void> sources() {
    std::vector<Id> wanted;
    for (const Kept<record::KeptReading>& reading : whole_.readings)
      if (reading.value.file &&
          std::find(wanted.begin(), wanted.end(), *reading.value.file) == wanted.end())
        wanted.push_back(*reading.value.file);
    for (const Id id : wanted) {
      const auto file = record::get<record::ImportedFile>(store_, id);
      if (!file) return file.error();
      content_.sources.push_back(file->value.name + ", sha256 " + file->value.sha256);
    }
    std::vector<std::string> computed;
    for (const Kept<record::Computation>& kept : whole_.computations) {
      const record::Computation& c = kept.value;
      computed.push_back(c.verb + (c.name.empty() ? "" : " '" + c.name + "'") + ", by " +
                         c.program + ", " + kept.entry.when);
    }
    if (!computed.empty()) content_.sources.push_back("computed: " + joined(computed, "; "));
    return {};
  }

  ReportContent& content_;
  const record::Store& store_;
  const WholeSheet& whole_;
  const Viewing& viewing_;
  const ReportRequest& request_;
  std::vector<Stage> stages_;
  std::map<Id, Shown> pictures_;
  std::map<Id, std::size_t> cards_;
  std::map<std::size_t, Id> fill_recipes_;  ///< a fill's place, and the recipe that tones it
};

}  // namespace

Result<void> add_record(ReportContent& content, const std::string& path, const std::string& sheet,
                        const Viewing& viewing, const ReportRequest& request) {
  const auto store = open_record(path, Opening::must_exist);
  if (!store) return store.error();
  const auto id = sheet_named(**store, sheet);
  if (!id) return id.error();
  std::vector<record::Unreadable> left_out;
  const auto whole = record::whole_sheet(**store, *id, left_out);
  if (!whole) return whole.error();
  for (const record::Unreadable& one : left_out)
    content.unknowns.push_back("what this row says: " + one.error.text());
  const auto head = (*store)->head();
  if (!head) return head.error();
  content.record_head = record::text_of(*head);
  content.sources.push_back("treatment record " + std::filesystem::path(path).filename().string() +
                            ", its head " + content.record_head);
  return Gathering(content, **store, *whole, viewing, request).all();
}

}  // namespace mendtone::app
