#include "mendtone/app/wash/colorant.hpp"

#include <algorithm>

#include "app/inputs/text.hpp"
#include "app/tissue/sheet_seen.hpp"
#include "mendtone/adapters/files.hpp"
#include "mendtone/match/colorant_facts.hpp"

namespace mendtone::app {
namespace {

Result<void> name_indices(Palette& palette, const std::map<std::string, std::string>& indices) {
  for (const auto& [name, index] : indices) {
    const auto found = std::find_if(palette.colorants.begin(), palette.colorants.end(),
                                    [&](const Colorant& c) { return c.name == name; });
    if (found == palette.colorants.end()) {
      std::vector<std::string> names;
      for (const Colorant& colorant : palette.colorants) names.push_back(colorant.name);
      return bad_request("there is no colorant '" + name + "'; there are " + listed(names),
                         "--colour-index");
    }
    if (const std::string wrong = fault_of_colour_index(index); !wrong.empty())
      return bad_request(wrong, "--colour-index " + name);
    found->colour_index = index;
  }
  return {};
}

results::LawTried told(const TriedLaw& law) {
  results::LawTried told;
  static_cast<TriedLaw&>(told) = law;
  told.constants = law.scatters ? 2 : 1;
  return told;
}

ColorantAnswer told(Calibration found) {
  ColorantAnswer answer;
  answer.palette = std::move(found.palette);
  const Palette& palette = answer.palette;
  for (const TriedLaw& law : found.laws) answer.laws.push_back(told(law));
  for (const SwatchResidual& r : found.residuals)
    answer.residuals.push_back({r.name, r.where, results::loads_of(palette, r.loads), r.de00,
                                r.cross_validated_de00, r.dL, r.da, r.db, r.weight, r.doubtful,
                                r.remark});
  for (const AdvisedSwatch& swatch : found.advice)
    answer.advice.push_back(
        {results::loads_of(palette, swatch.loads), swatch.before_de00, swatch.after_de00});
  answer.condition_number = found.condition_number;
  answer.held_out_folds = found.held_out_folds;
  answer.dosing_sd = found.dosing_sd;
  answer.warnings = lines_of(found.warnings);
  return answer;
}

}  // namespace

Result<ColorantAnswer> colorant(const ColorantRequest& request, const InputPlace& place) {
  auto file = load(request.sources, place);
  if (!file) return file.error();
  auto problem = calibration_problem(file->readings, request.application);
  if (!problem) return problem.error();
  problem->warnings.insert(problem->warnings.begin(), file->warnings.begin(), file->warnings.end());
  ColorantAnswer answer =
      told(MENDTONE_TRY(calibrate(*problem, request.advise, place.going)));
  answer.readings = file->readings.size();
  answer.out = request.out;
  Palette& palette = answer.palette;
  if (auto named = name_indices(palette, request.colour_index); !named) return named.error();
  auto brightened = flagged_brighteners(file->readings);
  if (!brightened) return brightened.error();
  for (const Brightener& found : *brightened)
    if (found.name == palette.substrate) {
      palette.brightener = true;
      palette.warnings.push_back(line_of(warning_of(found)));
    }
  if (!request.out.empty())
    if (auto kept = write_file(request.out, to_json(answer) + "\n"); !kept) return kept.error();
  return answer;
}

}  // namespace mendtone::app
