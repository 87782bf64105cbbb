#include "report/methods.hpp"

#include <algorithm>
#include <functional>

#include "mendtone/report/sentences.hpp"
#include "report/decisions.hpp"
#include "report/words.hpp"

namespace mendtone::report {
namespace {

using Member = std::string Reading::*;

std::vector<std::string> stated(const ReportContent& content, Member member) {
  std::vector<std::string> all;
  for (const Reading& reading : content.readings) add_new(all, {reading.*member});
  return all;
}

std::vector<std::string> lights_used(const ReportContent& content) {
  std::vector<std::string> all;
  const auto add = [&](const std::string& light, int deg) {
    if (!light.empty()) add_new(all, {viewing_words(light, deg)});
  };
  for (const Reading& r : content.readings) add(r.tone.light, r.tone.observer_deg);
  for (const Difference& d : content.differences) add(d.light, d.observer_deg);
  for (const Fill& f : content.fills) {
    if (!f.tone) continue;
    add(f.tone->light, f.tone->observer_deg);
    for (const UnderLight& u : f.by_light) add(u.light, f.tone->observer_deg);
  }
  for (const RecipeCard& card : content.recipes) {
    if (!card.tone) continue;
    add(card.tone->light, card.tone->observer_deg);
    for (const UnderLight& u : card.by_light) add(u.light, card.tone->observer_deg);
  }
  return all;
}

std::string repeats_sentence(const ReportContent& content) {
  int least = 0, most = 0;
  for (const Reading& r : content.readings) {
    if (r.n <= 0) continue;
    least = least == 0 ? r.n : std::min(least, r.n);
    most = std::max(most, r.n);
  }
  if (most == 0) return {};
  if (most == 1) return say(Sentence::one_reading);
  const std::string count =
      least == most ? std::to_string(most) : std::to_string(least) + " to " + std::to_string(most);
  return say(Sentence::mean_of_readings, {{"count", count}});
}

std::string tolerance_sentence(const ReportContent& content) {
  std::vector<std::string> limits;
  for (const Difference& d : content.differences)
    if (d.tolerance)
      add_new(limits, {number(*d.tolerance, 1) +
                       (d.tolerance_origin.empty() ? "" : " (" + d.tolerance_origin + ")")});
  if (limits.empty()) return {};
  return say(Sentence::tolerance, {{"limits", joined(limits, " and ")}});
}

bool any_predicted(const ReportContent& content) {
  return std::any_of(content.fills.begin(), content.fills.end(),
                     [](const Fill& fill) { return fill.tone.has_value(); }) ||
         std::any_of(content.recipes.begin(), content.recipes.end(),
                     [](const RecipeCard& card) { return card.tone.has_value(); });
}

bool any_interval(const ReportContent& content) {
  return std::any_of(content.differences.begin(), content.differences.end(),
                     [](const Difference& d) { return d.low && d.high; });
}

void say_of_readings(const ReportContent& content, std::vector<std::string>& unknowns) {
  const std::string all = std::to_string(content.readings.size());
  const auto missing = [&](Member member, Sentence sentence) {
    if (content.readings.empty()) return;
    const auto without = std::count_if(
        content.readings.begin(), content.readings.end(),
        [&](const Reading& r) { return (r.*member).empty() && r.conditions.empty(); });
    if (without > 0)
      unknowns.push_back(say(sentence, {{"some", std::to_string(without)}, {"all", all}}));
  };
  missing(&Reading::instrument, Sentence::not_stated_instrument);
  missing(&Reading::condition, Sentence::not_stated_condition);
  missing(&Reading::backing, Sentence::not_stated_backing);
  const auto without = std::count_if(content.readings.begin(), content.readings.end(),
                                     [](const Reading& r) { return !r.region; });
  if (without > 0)
    unknowns.push_back(say(Sentence::no_region, {{"some", std::to_string(without)}, {"all", all}}));
}

void say_of_fills(const ReportContent& content, std::vector<std::string>& unknowns) {
  std::vector<Decision> all = decisions(content);
  for (const Damage& damage : content.damages)
    if (std::none_of(all.begin(), all.end(),
                     [&](const Decision& known) { return known.loss == damage.name; })) {
      all.emplace_back();
      all.back().loss = damage.name;
    }
  for (const Decision& decision : all)
    if (decision.is_open()) unknowns.push_back(no_choice(decision));
  for (const Fill& fill : content.fills)
    if (fill.chosen && fill.transmitted && !fill.transmitted->known)
      unknowns.push_back(
          fill.transmitted->why.empty()
              ? say(Sentence::no_light_sheet, {{"fill", fill.name}})
              : say(Sentence::no_light_sheet_because,
                    {{"fill", fill.name}, {"why", sentence(fill.transmitted->why)}}));
}

}  // namespace

std::string methods_paragraph(const ReportContent& content) {
  std::vector<std::string> parts;
  const auto instruments = stated(content, &Reading::instrument);
  const auto geometries = stated(content, &Reading::geometry);
  const auto conditions = stated(content, &Reading::condition);
  const auto backings = stated(content, &Reading::backing);
  if (!instruments.empty()) {
    parts.push_back(say(Sentence::measured_with, {{"instruments", joined(instruments, " and ")}}));
    if (!geometries.empty())
      parts.push_back(
          say(Sentence::measured_geometry, {{"geometries", joined(geometries, " and ")}}));
    if (!conditions.empty())
      parts.push_back(
          say(Sentence::measured_condition, {{"conditions", joined(conditions, " and ")}}));
    if (!backings.empty())
      parts.push_back(say(Sentence::measured_over, {{"backings", joined(backings, " and ")}}));
  }
  parts.push_back(repeats_sentence(content));
  const auto lights = lights_used(content);
  if (!lights.empty())
    parts.push_back(say(Sentence::computed_by, {{"lights", joined(lights, "; ")}}));
  if (!content.differences.empty() || !content.fills.empty() || !content.recipes.empty())
    parts.push_back(say(Sentence::ciede2000));
  if (any_interval(content)) parts.push_back(say(Sentence::intervals));
  parts.push_back(tolerance_sentence(content));
  if (any_predicted(content)) parts.push_back(say(Sentence::predicted_by));
  std::vector<std::string> more;
  for (const std::string& one : content.methods) add_new(more, {sentence(one)});
  parts.insert(parts.end(), more.begin(), more.end());
  const bool any_patch = std::any_of(content.readings.begin(), content.readings.end(),
                                     [](const Reading& r) { return r.tone.screen.has_value(); });
  if (any_patch) parts.push_back(say(Sentence::patches));
  if (!content.program_version.empty())
    parts.push_back(content.table_versions.empty()
                        ? say(Sentence::computed_with, {{"program", content.program_version}})
                        : say(Sentence::computed_with_tables,
                              {{"program", content.program_version},
                               {"tables", joined(content.table_versions, ", ")}}));
  return joined(parts, " ");
}

std::vector<std::string> not_known(const ReportContent& content) {
  std::vector<std::string> unknowns;
  for (const std::string& text : content.unknowns) add_new(unknowns, {sentence(text)});
  std::vector<std::string> found;
  say_of_readings(content, found);
  say_of_fills(content, found);
  if (!content.differences.empty() && !any_interval(content))
    found.push_back(say(Sentence::no_intervals));
  add_new(unknowns, found);
  return unknowns;
}

std::vector<std::string> all_cautions(const ReportContent& content) {
  std::vector<std::string> all;
  const auto add = [&](const std::vector<std::string>& cautions) {
    for (const std::string& caution : cautions) add_new(all, {sentence(caution)});
  };
  for (const RecipeCard& card : content.recipes)
    if (card.chosen) add(card.cautions);
  for (const Fill& fill : content.fills)
    if (fill.chosen) add(fill.cautions);
  add(content.cautions);
  // Without a recorded choice the nearest stands for it.
  if (all.empty() && !content.recipes.empty()) add(content.recipes.front().cautions);
  if (all.empty() && !content.fills.empty()) add(content.fills.front().cautions);
  const bool said = std::any_of(all.begin(), all.end(), [](const std::string& caution) {
    return caution.find("added material only") != std::string::npos;
  });
  if (!said && (!content.fills.empty() || !content.recipes.empty()))
    add({say(Sentence::added_material)});
  return all;
}

std::vector<std::string> all_warnings(const ReportContent& content) {
  std::vector<std::string> all;
  for (const Reading& r : content.readings)
    for (const std::string& w : r.warnings)
      add_new(all, {joined({r.spot, r.stage}, ", ") + ": " + sentence(w)});
  for (const Difference& d : content.differences)
    for (const std::string& w : d.warnings) add_new(all, {d.spot + ": " + sentence(w)});
  return all;
}

}  // namespace mendtone::report
