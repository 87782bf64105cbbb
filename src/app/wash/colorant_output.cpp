#include "app/inputs/text.hpp"
#include "app/wash/palette_json.hpp"
#include "mendtone/app/wash/colorant.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::app {
namespace {

std::string mixture_text(const Palette& palette, const std::vector<double>& loads) {
  std::vector<std::string> parts;
  for (std::size_t j = 0; j < loads.size(); ++j)
    if (loads[j] > 0) parts.push_back(palette.colorants[j].name + " " + fixed(loads[j], 4));
  return listed(parts);
}

Json loads_of(const Palette& palette, const std::vector<double>& loads) {
  Json json = Json::object();
  for (std::size_t j = 0; j < loads.size(); ++j)
    if (loads[j] > 0) json[palette.colorants[j].name] = loads[j];
  return json;
}

std::string laws_text(const Calibration& calibration) {
  std::string text = "Laws tried, by swatches held out (" +
                     std::to_string(calibration.held_out_folds) + " folds), DeltaE00:\n" +
                     padded("  law", 62) + "median   mean    95 %   in the fit   beyond dosing\n";
  for (const TriedLaw& law : calibration.laws)
    text += padded((law.chosen ? "> " : "  ") + law.name, 62) +
            padded(fixed(law.cross_validated_de00, 2), 9) + padded(fixed(law.mean_de00, 2), 8) +
            padded(fixed(law.p95_de00, 2), 7) + padded(fixed(law.fit_de00, 2), 13) +
            fixed(law.beyond_dosing_de00, 3) + "\n";
  return text +
         "The law is chosen by what the error of a held-out swatch's own loads does not explain.\n";
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
  const Calibration& calibration = answer.calibration;
  const Palette& palette = calibration.palette;
  std::string text =
      "Colorants on '" + palette.substrate + "', " + std::string(name_of(palette.application)) +
      ", loads in " + in_words(palette.load_unit) + "; " + std::to_string(answer.readings) +
      " readings, " + std::to_string(calibration.residuals.size()) +
      " swatches; light D65, observer 10 degrees\n\n" + laws_text(calibration) + "\n";
  if (palette.learnt)
    text += "The learnt part takes " + fixed(100 * palette.learnt->share, 0) +
            " % of what the physics leaves over; away from what was read it fades to none.\n";
  if (!palette.interface.none())
    text += "Interface: k1 " + fixed(palette.interface.k1, 3) + ", entry loss " +
            fixed(palette.interface.ke, 3) + ", k2 " + fixed(palette.interface.k2, 3) + "\n";
  if (palette.screening > 0)
    text += "Screening " + fixed(palette.screening, 2) + ", quenching " +
            fixed(palette.quenching, 3) +
            ": much absorption counts for less than the sum of its parts, and takes from what is "
            "scattered\n";
  text += "Loads vary by about " + fixed(100 * calibration.dosing_sd, 0) +
          " % from what was meant, as the readings show; condition number " +
          fixed(calibration.condition_number, 0) + "\n\n";
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
  for (const SwatchResidual& residual : calibration.residuals)
    if (residual.doubtful)
      text += "Doubtful: " + residual.name +
              (residual.where.empty() ? "" : " (" + residual.where + ")") + ": " + residual.remark +
              "\n";
  for (std::size_t i = 0; i < calibration.advice.size(); ++i) {
    const AdvisedSwatch& swatch = calibration.advice[i];
    text += "Make next " + std::to_string(i + 1) + ": " + mixture_text(palette, swatch.loads) +
            "; likely mixtures would then be known to " + fixed(swatch.after_de00, 3) +
            " DeltaE00 instead of " + fixed(swatch.before_de00, 3) + "\n";
  }
  for (const std::string& warning : palette.warnings) text += "! " + warning + "\n";
  for (const Warning& warning : calibration.warnings) text += "! " + line_of(warning) + "\n";
  if (!answer.out.empty()) text += "Kept in " + answer.out + "\n";
  return text;
}

std::string to_json(const ColorantAnswer& answer) {
  const Calibration& calibration = answer.calibration;
  const Palette& palette = calibration.palette;
  Json json = document("colorant");
  put_palette(json, palette);
  json["laws"] = Json::array();
  for (const TriedLaw& law : calibration.laws)
    json["laws"].push_back({{"name", law.name},
                            {"constants", law.scatters ? 2 : 1},
                            {"load_law", name_of(law.load)},
                            {"interface", law.interface},
                            {"filling", law.filling},
                            {"screening", law.screening},
                            {"learnt", law.learnt},
                            {"cross_validated_de00", law.cross_validated_de00},
                            {"mean_de00", law.mean_de00},
                            {"p95_de00", law.p95_de00},
                            {"fit_de00", law.fit_de00},
                            {"beyond_dosing_de00", law.beyond_dosing_de00},
                            {"chosen", law.chosen}});
  json["residuals"] = Json::array();
  for (const SwatchResidual& r : calibration.residuals)
    json["residuals"].push_back({{"name", r.name},
                                 {"where", r.where},
                                 {"loads", loads_of(palette, r.loads)},
                                 {"de00", r.de00},
                                 {"cross_validated_de00", r.cross_validated_de00},
                                 {"dL", r.dL},
                                 {"da", r.da},
                                 {"db", r.db},
                                 {"weight", r.weight},
                                 {"doubtful", r.doubtful},
                                 {"remark", r.remark}});
  json["condition_number"] = calibration.condition_number;
  json["held_out_folds"] = calibration.held_out_folds;
  json["advice"] = Json::array();
  for (const AdvisedSwatch& swatch : calibration.advice)
    json["advice"].push_back({{"loads", loads_of(palette, swatch.loads)},
                              {"before_de00", swatch.before_de00},
                              {"after_de00", swatch.after_de00}});
  json["warnings"] = to_array(calibration.warnings);
  return written(json);
}

std::string to_csv(const ColorantAnswer& answer) {
  const Palette& palette = answer.calibration.palette;
  std::string text = csv_line({"colorant", "nm", "k", "k_se", "s", "s_se"});
  for (const Colorant& colorant : palette.colorants)
    for (std::size_t i = 0; i < palette.grid.size(); ++i)
      text += csv_line({colorant.name, shortest(palette.grid.nm()[i]), shortest(colorant.k[i]),
                        colorant.k_se.empty() ? "" : shortest(colorant.k_se[i]),
                        shortest(colorant.s[i]),
                        colorant.s_se.empty() ? "" : shortest(colorant.s_se[i])});
  return text;
}

}  // namespace mendtone::app
