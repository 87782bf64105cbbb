#include "app/inputs/text.hpp"
#include "mendtone/app/tone/difference.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::app {
namespace {

std::string side_text(const char* when, const Lab& lab, std::size_t n,
                      const std::optional<double>& spread) {
  std::string text =
      std::string("  ") + when + "  " + text_of(lab) + "   (" + counted(n, "reading", "readings");
  if (spread) text += ", spread " + fixed(*spread, 2);
  return text + ")\n";
}

std::string verdict_text(const Pair& pair, double tolerance) {
  const Change& change = pair.change;
  const std::string limit = fixed(tolerance, 2);
  switch (change.verdict) {
    case Verdict::within:
      return "within the tolerance of " + limit;
    case Verdict::beyond:
      return "beyond the tolerance of " + limit;
    case Verdict::undecided:
      break;
  }
  std::string text = "undecided with these readings: the interval holds the tolerance of " + limit;
  text += "; " + (change.more_readings ? more_readings_words(*change.more_readings)
                                        : std::string("more readings alone will hardly decide"));
  return text;
}

std::string metamerism_text(const results::MetamerismUnder& m) {
  std::string text = "  seen under " + m.test_light + ": DeltaE00 " + fixed(m.plain_de00, 2) +
                     "; metamerism index (DeltaE00, CIE 15, ISO 18314-4):";
  if (m.index.multiplicative_xyz)
    text += " " + fixed(m.index.multiplicative_xyz->de00, 2) + " multiplicative XYZ,";
  text += " " + fixed(m.index.additive_lab.de00, 2) + " additive L*a*b*";
  if (m.index.spectral) text += ", " + fixed(m.index.spectral->de00, 2) + " spectral";
  return text + "\n";
}

std::string block_of(const Pair& pair, double tolerance) {
  const Change& change = pair.change;
  const SignedDifference& d = pair.parts;
  std::string text = pair.name + "   under " + pair.light + ", " +
                     std::to_string(pair.observer_deg) + " degrees" +
                     (pair.conditions.empty() ? "" : "; " + pair.conditions) + "\n";
  text += side_text("before", pair.before, pair.n_before, pair.spread_before_de00);
  text += side_text("after ", pair.after, pair.n_after, pair.spread_after_de00);
  text += "  dL* " + fixed_signed(d.dL, 2) + "  da* " + fixed_signed(d.da, 2) + "  db* " +
          fixed_signed(d.db, 2) + "  dC* " + fixed_signed(d.dC, 2) + "  dH* " +
          fixed_signed(d.dH, 2) + "   DeltaE*ab " + fixed(pair.de_ab, 2) + "   grey scale " +
          pair.grey_scale.step + "\n";
  text += "  DeltaE00 " + fixed(change.de00, 2) + ", 95 % interval " +
          fixed(change.interval95[0], 2) + " to " + fixed(change.interval95[1], 2) +
          "; an unchanged spot would show " + fixed(change.noise_de00, 2) +
          " by the readings' spread alone\n";
  text += "  " + verdict_text(pair, tolerance) + "\n";
  for (const results::MetamerismUnder& m : pair.metamerism) text += metamerism_text(m);
  for (const std::string& warning : pair.warnings) text += "  ! " + warning + "\n";
  return text;
}

}  // namespace

std::string tolerance_origin(const ChangeSettings& settings) {
  if (settings.tolerance_de00 != ChangeSettings{}.tolerance_de00) return "stated by the user";
  return "default 0.8: the difference that half of observers notice, from published dental studies";
}

std::string to_text(const DifferenceAnswer& answer) {
  const ChangeSettings& s = answer.settings;
  std::string text = "Difference: light " + listed(texts_of(answer.lights)) + "; observer " +
                     std::to_string(answer.observer_deg) + " degrees\n";
  text += "CIEDE2000 with kL " + shortest(s.factors.kL) + ", kC " + shortest(s.factors.kC) +
          ", kH " + shortest(s.factors.kH) + "; tolerance " + fixed(s.tolerance_de00, 2) + " (" +
          answer.tolerance_origin + ")\n\n";
  for (const Pair& pair : answer.pairs) text += block_of(pair, s.tolerance_de00) + "\n";
  for (const Brightener& b : answer.brighteners)
    text += "Brightener, " + b.name + ": " + (b.flagged ? "yes" : "not seen") +
            " (M1 against M2 under D50, 2 degrees: DeltaE00 " + fixed(b.de00, 2) + ", db* " +
            fixed_signed(b.db, 2) + ")\n";
  for (const results::Refused& none : answer.refused)
    text += "Not compared: " + none.name + (none.light.empty() ? "" : " under " + none.light) +
            ": " + none.reason + "\n";
  for (const std::string& name : answer.only_before) text += "Only before: " + name + "\n";
  for (const std::string& name : answer.only_after) text += "Only after: " + name + "\n";
  for (const std::string& warning : answer.warnings) text += "! " + warning + "\n";
  return text;
}

}  // namespace mendtone::app
