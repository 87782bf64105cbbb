#include "app/tissue/tissue_care.hpp"

#include <algorithm>

#include "app/inputs/text.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::app {
namespace {

/// Years from one day to another, as they are written: "2026-03-14…"; nothing where one is not.
std::optional<double> years_between(const std::string& from, const std::string& to) {
  const auto months = [](const std::string& day) -> std::optional<double> {
    if (day.size() < 7 || day[4] != '-') return std::nullopt;
    const auto year = parse_number(day.substr(0, 4)), month = parse_number(day.substr(5, 2));
    const auto of_month = day.size() >= 10 ? parse_number(day.substr(8, 2)) : std::optional(1.0);
    if (!year || !month || !of_month || *month < 1 || *month > 12) return std::nullopt;
    return *year * 12 + *month + *of_month / 31;
  };
  const auto first = months(from), last = months(to);
  if (!first || !last) return std::nullopt;
  return (*last - *first) / 12;
}

void put_light_sheet_weight(TissueQuestion& question, const EnteredSheet& sheet,
                            std::vector<std::string>& notes) {
  if (sheet.sheet.empty()) return;
  if (sheet.seen_against_light == "no") {
    question.weights.light_sheet = 0;
    notes.push_back("the sheet is never seen against light: the light sheet does not weigh");
  } else if (sheet.seen_against_light.empty()) {
    notes.push_back(
        "whether the sheet is ever seen against light is not stated: the light sheet "
        "weighs in the order");
  }
}

void put_aim(TissueQuestion& question, std::vector<std::string>& notes) {
  const auto& uses = question.uses;
  if (!question.aim_dL) {
    const bool alike = !uses.empty() && std::all_of(uses.begin(), uses.end(), [&](Use use) {
      return default_aim_dL(use) == default_aim_dL(uses.front());
    });
    question.aim_dL = alike ? default_aim_dL(uses.front()) : 0;
    if (!alike)
      notes.push_back(
          "loss, tear and lining in one question have one aim, 0 here; ask for the loss "
          "alone, and it is 0.5 L* lighter");
  }
  notes.push_back("the aim is " + fixed_signed(*question.aim_dL, 1) +
                  " L* from the sheet: lighter, never darker, for a fill (common practice, no "
                  "source). Another aim, 0 too, may be asked for");
}

}  // namespace

CompleteQuestion complete_question(const TissueQuestion& asked, const EnteredSheet& sheet,
                                   bool spectral) {
  CompleteQuestion complete{asked, {}};
  if (spectral) {
    view_as_entered(complete.question.viewing, sheet, complete.notes);
  }
  put_light_sheet_weight(complete.question, sheet, complete.notes);
  put_aim(complete.question, complete.notes);
  complete.question.care = care_with(std::move(complete.question.care), sheet);
  return complete;
}

std::optional<double> sheet_weight(const TissueBench::Prepared& prepared,
                                   const TissueQuestion& question) {
  if (question.sheet_weight_g_m2) return question.sheet_weight_g_m2;
  if (prepared.target.grammage_g_m2) return prepared.target.grammage_g_m2;
  return prepared.entered.grammage_g_m2;
}

const EnteredTissue* entered_as(const EnteredTissues& all, const std::string& name,
                                const std::string& lot) {
  const EnteredTissue* found = nullptr;
  for (const EnteredTissue& one : all.tissues)
    if (one.name == name && (lot.empty() || one.lot.empty() || one.lot == lot)) found = &one;
  return found;
}

std::string too_old(const EnteredTissue& tissue, const std::string& today, double years) {
  if (!tissue.toned) return {};
  const auto age = years_between(tissue.last_read, today);
  if (!age || *age <= years) return {};
  return "toned, and last read " + fixed(*age, 1) + " years ago (" +
         tissue.last_read.substr(0, 10) + "): read it again before it is taken";
}

TissueCautions::TissueCautions(const TissueQuestion& question) : question_(question) {}

std::vector<std::string> TissueCautions::with(Use use, bool pasted_read, bool bleeds) const {
  CautionCase about = caution_case(use, question_.care);
  about.acts = {"attach"};
  if (pasted_read) about.marks.insert("pasted read");
  if (bleeds) about.marks.insert("bleeds");
  return texts_of(cautions_for(about));
}

std::vector<std::string> TissueCautions::of_the_act() const {
  std::vector<std::vector<std::string>> each;
  for (const Use use : question_.uses) each.push_back(with(use, true, false));
  std::vector<std::string> all;
  for (std::size_t u = 0; u < each.size(); ++u)
    for (const std::string& words : each[u]) {
      const bool in_every = std::all_of(each.begin(), each.end(), [&](const auto& others) {
        return std::find(others.begin(), others.end(), words) != others.end();
      });
      const std::string said =
          in_every ? words : std::string(name_of(question_.uses[u])) + ": " + words;
      if (std::find(all.begin(), all.end(), said) == all.end()) all.push_back(said);
    }
  return all;
}

const std::vector<std::string>& TissueCautions::of_a_candidate(Use use, bool pasted_read,
                                                               bool bleeds) {
  const auto [at, fresh] = known_.try_emplace({use, pasted_read, bleeds});
  if (!fresh) return at->second;
  const std::vector<std::string> shared = with(use, true, false);
  for (std::string& words : with(use, pasted_read, bleeds))
    if (std::find(shared.begin(), shared.end(), words) == shared.end())
      at->second.push_back(std::move(words));
  return at->second;
}

}  // namespace mendtone::app
