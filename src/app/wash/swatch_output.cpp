#include "app/inputs/text.hpp"
#include "app/tissue/sheet_seen.hpp"
#include "mendtone/app/wash/swatch.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::app {
namespace {

std::string loads_text(const std::vector<results::Load>& loads) {
  std::vector<std::string> parts;
  for (const results::Load& load : loads)
    parts.push_back(load.colorant + " " + shortest(load.load));
  return parts.empty() ? "no colorant" : listed(parts);
}

}  // namespace

std::string to_text(const SwatchAnswer& answer) {
  const bool film = answer.application == Application::film;
  std::string text =
      "On '" + answer.substrate + "'" +
      (answer.over.empty() ? "" : " over '" + answer.over + "'") + ", " +
      (film ? "a film" : counted(static_cast<std::size_t>(answer.plies), "ply", "plies")) +
      "; observer " + std::to_string(answer.observer_deg) + " degrees; loads in " +
      in_words(answer.load_unit) + "\n\n";
  for (const PredictedSwatch& swatch : answer.swatches) {
    text += swatch.name + ": " + loads_text(swatch.loads) + "\n";
    for (const SwatchColour& colour : swatch.by_light)
      text +=
          "  " + padded(colour.light, 10) + text_of(colour.lab) +
          (colour.not_predictable.empty() ? std::string()
                              : "  not predictable (" + std::string(brightener_was_found) + ")") +
          "\n";
    text += "  within " + fixed(swatch.u95_de00, 2) + " DeltaE00, 95 times in 100\n";
    const results::Transmitted& through = swatch.transmitted;
    if (through.known)
      text += "  on a light sheet (" + through.light + "): " + text_of(*through.lab) + "\n";
    else if (!film)
      text += "  on a light sheet: not known, " + through.why + "\n";
    for (const std::string& warning : swatch.warnings) text += "  ! " + warning + "\n";
  }
  for (const std::string& warning : answer.warnings) text += "! " + warning + "\n";
  if (!answer.cautions.empty()) text += "\nCautions\n";
  for (const std::string& caution : answer.cautions) text += "  - " + caution + "\n";
  if (!answer.cautions.empty()) text += "  - " + std::string(common_practice_note) + "\n";
  return text;
}

}  // namespace mendtone::app
