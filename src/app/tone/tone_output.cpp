#include "app/inputs/text.hpp"
#include "mendtone/app/tone/tone.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::app {
namespace {

std::string spread_text(const Tone& tone) {
  std::string text = counted(tone.n, "reading", "readings");
  if (tone.spread_de00)
    text += ", spread " + fixed(*tone.spread_de00, 2) + " DeltaE00 (mean, from their mean)";
  else
    text += ", so no spread is known";
  return text;
}

std::string block_of(const Tone& tone) {
  std::string text = tone.name + "   under " + tone.light + ", " +
                     std::to_string(tone.observer_deg) + " degrees" +
                     (tone.quantity == Quantity::reflectance ? "" : ", " + std::string(name_of(tone.quantity))) + "\n";
  text += "  " + text_of(tone.lab) + "   C* " + fixed(tone.lch.C, 2) + "  h " +
          fixed(tone.lch.h, 1) + "\n";
  text += "  " + spread_text(tone) + (tone.conditions.empty() ? "" : "; " + tone.conditions) + "\n";
  for (const std::string& warning : tone.warnings) text += "  ! " + warning + "\n";
  return text;
}

}  // namespace

std::string to_text(const ToneAnswer& answer) {
  std::string text = "Tone: light " + listed(texts_of(answer.lights)) + "; observer " +
                     std::to_string(answer.observer_deg) + " degrees\n\n";
  for (const Tone& tone : answer.tones) text += block_of(tone) + "\n";
  for (const results::Refused& none : answer.refused)
    text += "Not shown: " + none.name + " under " + none.light + ": " + none.reason + "\n";
  for (const std::string& warning : answer.warnings) text += "! " + warning + "\n";
  return text;
}

}  // namespace mendtone::app
