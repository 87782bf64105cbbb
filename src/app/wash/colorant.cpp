#include "mendtone/app/wash/colorant.hpp"

#include <algorithm>

#include "app/inputs/text.hpp"
#include "app/tissue/sheet_seen.hpp"
#include "mendtone/adapters/files.hpp"

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
    found->colour_index = index;
  }
  return {};
}

}  // namespace

Result<ColorantAnswer> colorant(const ColorantRequest& request) {
  auto file = load(request.sources);
  if (!file) return file.error();
  auto problem = calibration_problem(file->readings, request.application);
  if (!problem) return problem.error();
  problem->warnings.insert(problem->warnings.begin(), file->warnings.begin(), file->warnings.end());
  auto calibration =
      MENDTONE_TRY(calibrate(*problem, request.advise, request.sources.record.going));
  ColorantAnswer answer{std::move(calibration), problem->load_unit, file->readings.size(),
                        request.out};
  if (auto named = name_indices(answer.calibration.palette, request.colour_index); !named)
    return named.error();
  auto brightened = flagged_brighteners(file->readings);
  if (!brightened) return brightened.error();
  Palette& palette = answer.calibration.palette;
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
