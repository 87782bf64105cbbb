#include "report/methods.hpp"

#include <algorithm>
#include <functional>

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
  const std::string count =
      least == most ? std::to_string(most) : std::to_string(least) + " to " + std::to_string(most);
  return "Each tone is the mean of " + count +
         (most == 1 ? " reading." : " readings of the same spot.");
}

std::string tolerance_sentence(const ReportContent& content) {
  std::vector<std::string> limits;
  for (const Difference& d : content.differences)
    if (d.tolerance)
      add_new(limits, {number(*d.tolerance, 1) +
                       (d.tolerance_origin.empty() ? "" : " (" + d.tolerance_origin + ")")});
  if (limits.empty()) return {};
  return "Change was judged against a tolerance of " + joined(limits, " and ") + " in " +
         de00_sign +
         "; a verdict of \u2018within\u2019 or \u2018beyond\u2019 is given only where the "
         "uncertainty allows it (after JCGM 106).";
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
  const auto missing = [&](Member member, const std::string& what) {
    if (content.readings.empty()) return;
    const auto without = std::count_if(
        content.readings.begin(), content.readings.end(),
        [&](const Reading& r) { return (r.*member).empty() && r.conditions.empty(); });
    if (without > 0)
      unknowns.push_back(what + " is not stated for " + std::to_string(without) + " of " +
                         std::to_string(content.readings.size()) + " tones.");
  };
  missing(&Reading::instrument, "The instrument");
  missing(&Reading::condition, "The measurement condition (M0 to M3)");
  missing(&Reading::backing, "The backing under the sheet");
  const auto without = std::count_if(content.readings.begin(), content.readings.end(),
                                     [](const Reading& r) { return !r.region; });
  if (without > 0)
    unknowns.push_back("The uncertainty of " + std::to_string(without) + " of " +
                       std::to_string(content.readings.size()) +
                       " tones: no region could be drawn for them.");
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
          "How " + fill.name + " matches on a light sheet" +
          (fill.transmitted->why.empty() ? "." : ": " + sentence(fill.transmitted->why)));
}

}  // namespace

std::string methods_paragraph(const ReportContent& content) {
  std::vector<std::string> parts;
  const auto instruments = stated(content, &Reading::instrument);
  const auto geometries = stated(content, &Reading::geometry);
  const auto conditions = stated(content, &Reading::condition);
  const auto backings = stated(content, &Reading::backing);
  if (!instruments.empty()) {
    std::string how = "Colour was measured with " + joined(instruments, " and ");
    if (!geometries.empty()) how += ", geometry " + joined(geometries, " and ");
    if (!conditions.empty())
      how += ", measurement condition " + joined(conditions, " and ") + " of ISO 13655";
    if (!backings.empty()) how += ", over " + joined(backings, " and ");
    parts.push_back(how + ".");
  }
  parts.push_back(repeats_sentence(content));
  const auto lights = lights_used(content);
  if (!lights.empty())
    parts.push_back(
        "Tristimulus values were computed by CIE 15 for the following lights and "
        "observers: " +
        joined(lights, "; ") + "; CIELAB follows ISO/CIE 11664-4.");
  if (!content.differences.empty() || !content.fills.empty() || !content.recipes.empty())
    parts.push_back(std::string("Colour differences are CIEDE2000 (") + de00_sign +
                    ", ISO/CIE 11664-6) with kL = kC = kH = 1 unless stated otherwise.");
  if (any_interval(content))
    parts.push_back(
        "Intervals are for 95 % and come from the spread of the repeats (Monte Carlo "
        "after JCGM 101); zero is kept in an interval unless a Hotelling test rejects "
        "it.");
  parts.push_back(tolerance_sentence(content));
  if (any_predicted(content))
    parts.push_back(
        "Fills were predicted with the layer theory of Kubelka (1948, 1954) from "
        "readings of the materials over known backings.");
  std::vector<std::string> more;
  for (const std::string& one : content.methods) add_new(more, {sentence(one)});
  parts.insert(parts.end(), more.begin(), more.end());
  const bool any_patch = std::any_of(content.readings.begin(), content.readings.end(),
                                     [](const Reading& r) { return r.tone.screen.has_value(); });
  if (any_patch)
    parts.push_back("Patches of colour are converted to sRGB through ICC and adapted to the screen's "
                    "white; they show the direction of a difference.");
  if (!content.program_version.empty())
    parts.push_back("Computed with " + content.program_version +
                    (content.table_versions.empty()
                         ? std::string(".")
                         : ", reference tables: " + joined(content.table_versions, ", ") + "."));
  return joined(parts, " ");
}

std::vector<std::string> not_known(const ReportContent& content) {
  std::vector<std::string> unknowns;
  for (const std::string& text : content.unknowns) add_new(unknowns, {sentence(text)});
  std::vector<std::string> found;
  say_of_readings(content, found);
  say_of_fills(content, found);
  if (!content.differences.empty() && !any_interval(content))
    found.push_back("How sure the colour differences are: no interval is given for any of them.");
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
    add(
        {"Colour goes on added material only, never on original paper; test on the least visible "
         "spot first"});
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
