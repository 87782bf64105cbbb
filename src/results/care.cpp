#include "mendtone/results/care.hpp"

namespace mendtone {

void fields(results::Describe& v, SpotTested& s) {
  v.name("SpotTested");
  v("tested", s.tested, {});
  v("liquid", s.liquid, {});
  v("outcome", s.outcome, {.help = "unchanged, changed or unsure"});
}

}  // namespace mendtone

namespace mendtone::results {

void fields(Describe& v, Care& s) {
  v.name("Care");
  v("media", s.media,
    {.help =
         "media that stand near the place, or none: 'iron-gall ink, watercolour' (a sheet of the "
         "record may hold them)",
     .blank = Blank::left_out,
     .option = "--media"});
  v("stamps", s.stamps,
    {.help = "stamps and inscriptions near it, or none",
     .blank = Blank::left_out,
     .option = "--stamps"});
  v("sizing", s.sizing,
    {.help = "how the sheet is sized", .blank = Blank::left_out, .option = "--sizing"});
  v("adhesive", s.adhesive,
    {.help = "the adhesive to be used: 'wheat-starch paste', 'remoistenable tissue' …",
     .blank = Blank::left_out,
     .option = "--adhesive"});
  v("liquid", s.liquid,
    {.help = "the liquid to be used, where it is not water: ethanol …",
     .blank = Blank::left_out,
     .option = "--liquid"});
  v("colorant_media", s.colorant_media,
    {.help = "NAME=MEDIUM: what binds a colorant, as acrylic, watercolour or dry pigment",
     .blank = Blank::left_out,
     .option = "--medium"});
  v("allowed", s.allowed,
    {.help = "BAR=REASON: a bar of the cautions that you lift, and why",
     .blank = Blank::left_out,
     .option = "--allow"});
  v("tested", s.tested, {.help = "spot tests of the record", .blank = Blank::left_out});
}

}  // namespace mendtone::results
