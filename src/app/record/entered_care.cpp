#include <algorithm>

#include "mendtone/app/inputs/viewing.hpp"
#include "mendtone/app/record/entered.hpp"
#include "mendtone/base/numbers.hpp"
#include "mendtone/base/plain_text.hpp"
#include "mendtone/match/fitness.hpp"

namespace mendtone::app {
namespace {

/// From how far and at what size it is seen: which observer, and why.
void put_observer_of(results::ViewingRequest& viewing, const EnteredSheet& sheet,
                     std::vector<std::string>& notes) {
  if (viewing.observer_deg) return;
  viewing.observer_deg = 10;
  if (sheet.sheet.empty()) return;
  if (!sheet.viewing_distance_cm || !sheet.loss_area_cm2) {
    notes.push_back(
        "from how far the sheet is looked at, or how large its losses are, is not "
        "stated: the 10 degree observer is taken");
    return;
  }
  const double angle = visual_angle_of_area_deg(*sheet.loss_area_cm2, *sheet.viewing_distance_cm);
  viewing.observer_deg = observer_for_angle(angle);
  notes.push_back(
      "seen from " + shortest(*sheet.viewing_distance_cm) + " cm, " +
      (sheet.loss.empty() ? "the largest loss" : "this loss") + " spans " + fixed(angle, 1) +
      " degrees: the " + std::to_string(*viewing.observer_deg) +
      " degree observer (2 below 4 degrees: CIE 15, from memory). CIEDE2000 was made for "
      "fields above 4 degrees");
}

void put_lamp_of(results::ViewingRequest& viewing, const EnteredSheet& sheet,
                 std::vector<std::string>& notes) {
  if (!viewing.lights.empty() || sheet.lamp.empty()) return;
  viewing.lights = {sheet.lamp};
  for (const std::string& light : viewing_and_gallery_lights()) viewing.lights.push_back(light);
  notes.push_back("the sheet is shown under '" + sheet.lamp + "': it is the viewing light");
}

}  // namespace

void view_as_entered(results::ViewingRequest& viewing, const EnteredSheet& sheet,
                     std::vector<std::string>& notes) {
  put_observer_of(viewing, sheet, notes);
  put_lamp_of(viewing, sheet, notes);
}

results::Care care_with(results::Care asked, const EnteredSheet& sheet) {
  const auto fill = [](std::string& own, const std::string& entered) {
    if (own.empty()) own = entered;
  };
  fill(asked.media, sheet.media);
  fill(asked.stamps, sheet.stamps);
  fill(asked.sizing, sheet.sizing);
  fill(asked.adhesive, sheet.adhesive);
  asked.tested.insert(asked.tested.end(), sheet.tested.begin(), sheet.tested.end());
  for (const BarLifted& lifted : sheet.lifted)
    asked.allowed.push_back({lifted.name, lifted.reason});
  return asked;
}

CautionCase caution_case(Use use, const results::Care& care) {
  CautionCase about;
  about.use = use;
  about.media = care.media;
  about.stamps = care.stamps;
  about.sizing = care.sizing;
  about.adhesive = care.adhesive;
  about.liquid = care.liquid;
  about.tested = care.tested;
  for (const auto& [name, reason] : care.allowed) about.lifted.push_back({name, reason});
  return about;
}

const EnteredColorant* entered_as(const std::vector<EnteredColorant>& all,
                                  const std::string& name) {
  const std::string small = small_letters(name);
  for (const EnteredColorant& one : all)
    if (small_letters(one.name) == small) return &one;
  return nullptr;
}

ColorantUsed colorant_used(const std::string& name, const std::string& colour_index,
                           const results::Care& care, const std::vector<EnteredColorant>& entered) {
  ColorantUsed used{name, colour_index, {}};
  const EnteredColorant* known = entered_as(entered, name);
  if (known != nullptr) {
    used.medium = known->medium;
    if (used.colour_index.empty()) used.colour_index = known->colour_index;
  }
  for (const auto& [colorant, medium] : care.colorant_media)
    if (small_letters(colorant) == small_letters(name)) used.medium = medium;
  return used;
}

std::vector<std::string> cautions_of_entry(
    const std::vector<std::pair<std::string, std::string>>& columns) {
  CautionCase about;
  about.acts = {"record"};
  for (const auto& [column, text] : columns) {
    const std::string small = small_letters(text);
    if (find_whole_word(small, "ultraviolet") != std::string::npos)
      about.marks.insert("ultraviolet");
    if (find_whole_word(small, "airbrush") != std::string::npos ||
        find_whole_word(small, "airbrushed") != std::string::npos)
      about.marks.insert("airbrush");
    if (column == "liquid" || column == "adhesive" || column == "additive")
      for (const Recognised& one : recognised("liquid", text))
        if (one.kind == "solvent") about.marks.insert("solvent");
  }
  return texts_of(cautions_for(about));
}

std::vector<std::string> texts_of(const std::vector<Caution>& cautions) {
  std::vector<std::string> texts;
  for (const Caution& caution : cautions) {
    std::string text = text_of(caution);
    if (std::find(texts.begin(), texts.end(), text) == texts.end())
      texts.push_back(std::move(text));
  }
  return texts;
}

}  // namespace mendtone::app
