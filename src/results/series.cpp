#include "mendtone/results/series.hpp"

namespace mendtone::results {

void fields(Describe& v, SpotSeriesRequest& s) {
  v.name("SpotSeriesRequest");
  v("sheet", s.sheet, {.help = "the sheet of the record", .required = true});
  v("spot", s.spot, {.help = "the spot on it", .required = true});
  v("viewing", s.viewing, {});
}

void fields(Describe& v, SpotStage& s) {
  v.name("SpotStage");
  v("stage", s.stage, {.help = "before, after, bath 2 …"});
  v("lab", s.lab, {.help = "L*a*b*"});
  v("n", s.n, {.help = "readings"});
  v("de00", s.de00, {.help = "change from the first stage", .unit = "DeltaE00"});
  v("interval95_de00", s.interval95, {.help = "its 95 % interval", .unit = "DeltaE00"});
  v("u95", s.u95, {.help = "the longer arm of the interval", .unit = "DeltaE00"});
  v("dL", s.parts.dL, {.help = "against the first stage: L*"});
  v("da", s.parts.da, {.help = "a*"});
  v("db", s.parts.db, {.help = "b*"});
  v("verdict", s.verdict, {.help = "against the tolerance"});
}

void fields(Describe& v, SpotSeriesAnswer& s) {
  v.name("SpotSeriesAnswer");
  v.document("series", 2);
  v("sheet", s.sheet, {});
  v("spot", s.spot, {});
  v("lights", s.lights, {.help = "the lights asked for, the viewing light first"});
  v("observer", s.observer_deg, {.help = "the observer", .unit = "degrees"});
  v("tolerance_de00", s.tolerance_de00, {.unit = "DeltaE00"});
  v("tolerance_origin", s.tolerance_origin, {.help = "where the tolerance comes from", .prose = true});
  v("reproducibility_de00", s.reproducibility_de00, {.help = "of the instruments"});
  v("points", s.stages, {.help = "stage by stage"});
  v("refused", s.refused, {.help = "stages that could not be compared, and why"});
}

}  // namespace mendtone::results
