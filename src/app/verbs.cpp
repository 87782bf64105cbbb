#include "mendtone/app/image/image_change.hpp"
#include "mendtone/app/image/image_check.hpp"
#include "mendtone/app/image/image_preview.hpp"
#include "mendtone/app/image/image_tone.hpp"
#include "mendtone/app/tissue/tissue.hpp"
#include "mendtone/app/tone/difference.hpp"
#include "mendtone/app/tone/lamp.hpp"
#include "mendtone/app/tone/tone.hpp"
#include "mendtone/app/verb.hpp"
#include "mendtone/app/wash/colorant.hpp"
#include "mendtone/app/wash/correct.hpp"
#include "mendtone/app/wash/swatch.hpp"
#include "mendtone/app/wash/wash.hpp"

namespace mendtone::app {
namespace {

Verb not_kept(Verb verb) {
  verb.kept = false;
  return verb;
}

template <class Answer>
Verb with_csv(Verb verb, std::string (*csv)(const Answer&)) {
  verb.csv = [csv](const results::Value& answer) { return csv(answer.as<Answer>()); };
  return verb;
}

template <class Request>
Verb with_readings(Verb verb,
                   Result<std::vector<Reading>> (*readings)(const Request&, const InputPlace&)) {
  verb.readings = [readings](const results::Value& request, const InputPlace& place) {
    return readings(request.as<Request>(), place);
  };
  return verb;
}

std::vector<Verb> all_verbs() {
  return {
      with_readings(
          verb("tone", "readings to tone: mean of repeats, spread, repeats that stand apart", tone,
               to_text, has_answer,
               {"tone chart.cgats --light D65 --light A", "tone folder --format cgats"}),
          readings_of),
      not_kept(verb(
          "lamp", "what light a lamp gives: chromaticity, colour temperature, power below 400 nm",
          lamp, to_text, has_answer, {"lamp hall.txt", "lamp \"meter.csv#north\" LED-B1"})),
      verb("difference",
           "what changed between two sets of readings, and whether it can be believed", difference,
           to_text, has_answer, {"difference before.csv after.csv --reproducibility 0.15"}),
      verb("tissue", "ranks a drawer of tissues for a loss, a tear or a lining", tissue, to_text,
           has_answer,
           {"tissue --for \"loss 1\" --from drawer.csv chart.csv backings.csv --over \"mount "
            "board\""}),
      verb("colorant", "calibrate colorants from ladders, mixtures and trials, in one joint fit",
           colorant, to_text, has_answer,
           {"colorant ladders.csv backings.csv --out palette.json --colour-index ochre=PY43"}),
      verb(
          "swatch", "what a given mixture would give, and how surely", swatch, to_text, has_answer,
          {"swatch --load ochre=0.4 --from palette.json --on backings.csv --over \"mount board\""}),
      verb("wash",
           "recipes that tone a tissue to a sheet, in drops and coats; or a retouching film", wash,
           to_text, has_answer,
           {"wash --for chart.cgats --backings backings.csv --on \"kozo 17 plain\" --from "
            "palette.json --over \"mount board\" --stock stocks.csv --pick-up 95 --volume 60 "
            "--area 0.04"}),
      verb("correct", "after a measured trial: one more coat for the sheet in hand, or a new mix",
           correct, to_text, has_answer,
           {"correct wash.json --recipe 1 --trial trial.csv backings.csv"}),
      verb("image-check",
           "a colour target in a photograph against its reference: may it be measured at all?",
           image_check, to_text, has_answer,
           {"image check before.tif --reference target.cgats --corners "
            "55,703,1096,703,1096,842,55,842 "
            "--columns 12 --rows 2"}),
      with_csv(
          verb("image-tone", "the tone of the paper in a photograph, without its inks and stains",
               image_tone, to_text, has_answer,
               {"image tone before.tif --loss \"loss 1=mask:loss-1.png\" --compare chart.cgats"}),
          readings_csv),
      verb("image-change",
           "before and after of one sheet: laid on each other, maps and figures of change",
           image_change, to_text, has_answer, {"image change before.tif after.tif --maps change"}),
      not_kept(verb("image-preview", "a predicted fill seen in its place, before any paper is cut",
                    image_preview, to_text, has_answer,
                    {"image preview before.tif --loss mask:loss-1.png --fills tissue.json --out "
                     "preview.png"})),
  };
}

}  // namespace

std::span<const Verb> verbs() {
  static const std::vector<Verb> all = all_verbs();
  return all;
}

const Verb* find_verb(std::string_view name) {
  for (const Verb& verb : verbs())
    if (verb.name == name) return &verb;
  return nullptr;
}

}  // namespace mendtone::app
