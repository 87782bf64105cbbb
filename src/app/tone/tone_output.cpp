#include "app/inputs/json.hpp"
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
                     (tone.quantity == "reflectance" ? "" : ", " + tone.quantity) + "\n";
  text += "  " + text_of(tone.lab) + "   C* " + fixed(tone.lch.C, 2) + "  h " +
          fixed(tone.lch.h, 1) + "\n";
  text += "  " + spread_text(tone) + (tone.conditions.empty() ? "" : "; " + tone.conditions) + "\n";
  for (const std::string& warning : tone.warnings) text += "  ! " + warning + "\n";
  return text;
}

}  // namespace

std::string to_text(const ToneAnswer& answer) {
  std::string text = "Tone: light " + listed(answer.lights) + "; observer " +
                     std::to_string(answer.observer_deg) + " degrees\n\n";
  for (const Tone& tone : answer.tones) text += block_of(tone) + "\n";
  for (const NoTone& none : answer.refused)
    text += "Not shown: " + none.name + " under " + none.light + ": " + none.reason + "\n";
  for (const Warning& warning : answer.warnings) text += "! " + line_of(warning) + "\n";
  return text;
}

std::string to_json(const ToneAnswer& answer) {
  Json json = document("tone");
  json["lights"] = answer.lights;
  json["observer"] = answer.observer_deg;
  Json tones = Json::array();
  for (const Tone& tone : answer.tones)
    tones.push_back({{"name", tone.name},
                     {"light", tone.light},
                     {"observer", tone.observer_deg},
                     {"xyz", to_array(tone.xyz)},
                     {"lab", to_array(tone.lab)},
                     {"lch", to_array(tone.lch)},
                     {"n", tone.n},
                     {"spread_de00", or_null(tone.spread_de00)},
                     {"outliers", tone.outliers},
                     {"quantity", tone.quantity},
                     {"conditions", tone.conditions},
                     {"warnings", tone.warnings}});
  json["tones"] = std::move(tones);
  Json refused = Json::array();
  for (const NoTone& none : answer.refused)
    refused.push_back({{"name", none.name}, {"light", none.light}, {"reason", none.reason}});
  json["refused"] = std::move(refused);
  json["warnings"] = to_array(answer.warnings);
  return written(json);
}

std::string to_csv(const ToneAnswer& answer) {
  std::string text = csv_line({"name", "light", "observer", "X", "Y", "Z", "L*", "a*", "b*", "C*",
                               "h_deg", "n", "spread_de00", "conditions", "warnings"});
  for (const Tone& tone : answer.tones) {
    std::string warnings;
    for (const std::string& warning : tone.warnings)
      warnings += (warnings.empty() ? "" : "; ") + warning;
    text += csv_line(
        {tone.name, tone.light, std::to_string(tone.observer_deg), shortest(tone.xyz.X),
         shortest(tone.xyz.Y), shortest(tone.xyz.Z), shortest(tone.lab.L), shortest(tone.lab.a),
         shortest(tone.lab.b), shortest(tone.lch.C), shortest(tone.lch.h), std::to_string(tone.n),
         tone.spread_de00 ? shortest(*tone.spread_de00) : "", tone.conditions, warnings});
  }
  return text;
}

}  // namespace mendtone::app
