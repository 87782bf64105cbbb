#include <algorithm>
#include <optional>

#include "app/inputs/text.hpp"
#include "mendtone/app/wash/colorant.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::app {
namespace {

std::string mixture_text(const std::vector<results::Load>& loads) {
  std::vector<std::string> parts;
  for (const results::Load& load : loads)
    parts.push_back(load.colorant + " " + fixed(load.load, 4));
  return listed(parts);
}

/// Which layer the held-out swatches ask for.
std::string fluxes_text(const ColorantAnswer& answer) {
  std::optional<double> two, many;
  for (const TriedLaw& law : answer.laws) {
    if (law.learnt) continue;
    std::optional<double>& best = law.many_fluxes ? many : two;
    best = std::min(best.value_or(law.beyond_dosing_de00), law.beyond_dosing_de00);
  }
  if (!two || !many) return "";
  return "Light followed in many directions misses held-out swatches by " + fixed(*many, 3) +
         ", light in two by " + fixed(*two, 3) + ". The palette is computed in " +
         (answer.palette.model == LayerModel::two_fluxes ? "two" : "many") + ".\n";
}

std::string laws_text(const ColorantAnswer& answer) {
  std::string text = "Laws tried, by swatches held out (" + std::to_string(answer.held_out_folds) +
                     " folds), DeltaE00:\n" + padded("  law", 62) +
                     "median   mean    95 %   in the fit   beyond dosing\n";
  for (const TriedLaw& law : answer.laws)
    text += padded((law.chosen ? "> " : "  ") + law.name, 62) +
            padded(fixed(law.cross_validated_de00, 2), 9) + padded(fixed(law.mean_de00, 2), 8) +
            padded(fixed(law.p95_de00, 2), 7) + padded(fixed(law.fit_de00, 2), 13) +
            fixed(law.beyond_dosing_de00, 3) + "\n";
  return text +
         "The law is chosen by what the error of a held-out swatch's own loads does not "
         "explain.\n" +
         fluxes_text(answer);
}

std::string law_text(const Colorant& colorant) {
  if (colorant.law.kind == LoadLaw::Kind::power)
    return "load to the power " + fixed(colorant.law.parameter, 2);
  if (colorant.law.kind == LoadLaw::Kind::saturating)
    return "half at " + fixed(colorant.law.parameter, 3);
  return "linear in the load";
}

}  // namespace

std::string to_text(const ColorantAnswer& answer) {
  const Palette& palette = answer.palette;
  std::string text = "Colorants on '" + palette.substrate + "', " +
                     std::string(name_of(palette.application)) + ", loads in " +
                     in_words(palette.load_unit) + "; " + std::to_string(answer.readings) +
                     " readings, " + std::to_string(answer.residuals.size()) +
                     " swatches; light D65, observer 10 degrees\n\n" + laws_text(answer) + "\n";
  if (palette.learnt)
    text += "The learnt part takes " + fixed(100 * palette.learnt->share, 0) +
            " % of what the physics leaves over; away from what was read it fades to none.\n";
  if (!palette.interface.none())
    text += "Interface: k1 " + fixed(palette.interface.k1, 3) + ", entry loss " +
            fixed(palette.interface.ke, 3) + ", k2 " + fixed(palette.interface.k2, 3) + "\n";
  if (palette.model != LayerModel::two_fluxes)
    text += std::string("Model: light is followed in many directions, as an instrument of ") +
            (palette.model == LayerModel::many_fluxes_45_0 ? "45:0" : "a sphere") + " reads it.\n";
  text += "Loads vary by about " + fixed(100 * answer.dosing_sd, 0) +
          " % from what was meant, as the readings show; condition number " +
          fixed(answer.condition_number, 0) + "\n\n";
  for (const Colorant& colorant : palette.colorants) {
    text += padded("  " + colorant.name, 22) +
            padded("loads " + fixed(colorant.load_range[0], 4) + " to " +
                       fixed(colorant.load_range[1], 4),
                   30) +
            padded(law_text(colorant), 28) + "held out " + fixed(colorant.cross_validated_de00, 2) +
            "\n";
    for (const std::string& warning : colorant.warnings) text += "    ! " + warning + "\n";
  }
  text += "\n";
  for (const results::SwatchResidual& residual : answer.residuals)
    if (residual.doubtful)
      text += "Doubtful: " + residual.name +
              (residual.where.empty() ? "" : " (" + residual.where + ")") + ": " + residual.remark +
              "\n";
  for (std::size_t i = 0; i < answer.advice.size(); ++i) {
    const results::AdvisedSwatch& swatch = answer.advice[i];
    text += "Make next " + std::to_string(i + 1) + ": " + mixture_text(swatch.loads) +
            "; likely mixtures would then be known to " + fixed(swatch.after_de00, 3) +
            " DeltaE00 instead of " + fixed(swatch.before_de00, 3) + "\n";
  }
  for (const std::string& warning : palette.warnings) text += "! " + warning + "\n";
  for (const std::string& warning : answer.warnings) text += "! " + warning + "\n";
  if (!answer.out.empty()) text += "Kept in " + answer.out + "\n";
  return text;
}

}  // namespace mendtone::app
