#include <algorithm>

#include "mendtone/report/write.hpp"
#include "report/decisions.hpp"
#include "report/methods.hpp"
#include "report/words.hpp"

namespace mendtone::report {
namespace {

void put_tone(Outcome& outcome, const char* basis, double de00, const Tone& tone) {
  outcome.basis = basis;
  outcome.de00 = de00;
  outcome.light = tone.light;
  outcome.observer_deg = tone.observer_deg;
  outcome.words = seen_words(de00);
}

Outcome outcome_of(const Fill& fill) {
  Outcome outcome;
  outcome.done = done_words(fill);
  if (fill.measured && fill.measured_de00) {
    put_tone(outcome, "read", *fill.measured_de00, *fill.measured);
    if (fill.measured_u95) {
      outcome.low = (*fill.measured_u95)[0];
      outcome.high = (*fill.measured_u95)[1];
    }
  } else if (fill.tone && fill.de00) {
    put_tone(outcome, "predicted", *fill.de00, *fill.tone);
    if (fill.u95_de00) {
      outcome.low = std::max(0.0, *fill.de00 - *fill.u95_de00);
      outcome.high = *fill.de00 + *fill.u95_de00;
    }
  }
  return outcome;
}

Outcome outcome_of(const Difference& d) {
  Outcome outcome;
  outcome.what = d.spot;
  outcome.done = joined({d.from_stage, d.to_stage}, " to ");
  outcome.basis = "read";
  outcome.de00 = d.de00;
  outcome.low = d.low;
  outcome.high = d.high;
  outcome.light = d.light;
  outcome.observer_deg = d.observer_deg;
  outcome.words = plain_change(d);
  return outcome;
}

void add_decision(std::vector<Outcome>& all, const Decision& decision) {
  for (const Fill* fill : decision.chosen) {
    all.push_back(outcome_of(*fill));
    all.back().what = decision.loss;
  }
  if (!decision.chosen.empty()) return;
  Outcome outcome;
  outcome.what = decision.loss;
  outcome.done = decision.ending ? words_of(*decision.ending) : "no choice is recorded";
  all.push_back(std::move(outcome));
}

}  // namespace

std::vector<Outcome> outcomes(const ReportContent& content) {
  std::vector<Outcome> all;
  std::vector<std::string> told;
  for (const Decision& decision : decisions(content)) {
    add_decision(all, decision);
    told.push_back(decision.loss);
  }
  for (const Damage& damage : content.damages) {
    if (std::find(told.begin(), told.end(), damage.name) != told.end()) continue;
    Decision nothing;
    nothing.loss = damage.name;
    add_decision(all, nothing);
  }
  for (const Difference& d : content.differences)
    if (d.light == content.differences.front().light) all.push_back(outcome_of(d));
  return all;
}

std::string methods_text(const ReportContent& content) {
  return methods_paragraph(content);
}

}  // namespace mendtone::report
