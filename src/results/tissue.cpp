#include "mendtone/results/tissue.hpp"

namespace mendtone {

std::string_view name_of(LeaveOut filter) {
  static constexpr std::string_view names[] = {"darker", "heavier", "bleeding"};
  return names[static_cast<std::size_t>(filter)];
}

std::span<const LeaveOut> every(LeaveOut) {
  static constexpr LeaveOut all[] = {LeaveOut::darker, LeaveOut::heavier, LeaveOut::bleeding};
  return all;
}

}  // namespace mendtone

namespace mendtone::results {

void fields(Describe& v, InterfaceCorrection& s) {
  v.name("InterfaceCorrection");
  v("k1", s.k1,
    {.help = "surface correction of every ply and the sheet as k1,ke,k2 (default: none)",
     .option = "--interface",
     .least = 0,
     .most = 1,
     .below_most = true,
     .spans = 3});
  v("ke", s.ke, {.help = "entry loss"});
  v("k2", s.k2, {.help = "loss from within"});
}

void fields(Describe& v, Surfaces& s) {
  v.name("Surfaces");
  v("interface", s.interface, {});
  v("joint", s.joint,
    {.help = "with --interface: plies in contact, or air between", .option = "--between"});
}

void fields(Describe& v, RankWeights& s) {
  v.name("RankWeights");
  v("viewing", s.viewing, {});
  v("worst", s.worst, {});
  v("overlap", s.overlap, {});
  v("light_sheet", s.light_sheet,
    {.help = "what DeltaE00 on the light sheet counts in the score",
     .option = "--light-sheet-weight",
     .least = 0});
  v("unknown_overlap_de00", s.unknown_overlap_de00, {});
  v("unknown_light_sheet_de00", s.unknown_light_sheet_de00, {});
}

void fields(Describe& v, TissueQuestion& s) {
  v.name("TissueQuestion");
  v("viewing", s.viewing, {});
  v("uses", s.uses, {.help = "loss (default), tear or lining; may be repeated", .option = "--use"});
  v("side", s.side,
    {.help = "where the tissue lies on the sheet: back or front", .option = "--side"});
  v("fewest_plies", s.fewest_plies,
    {.help = "how many plies to try: 2, or 1-4",
     .option = "--plies",
     .least = 1,
     .most = 100,
     .spans = 2,
     .parted = '-'});
  v("most_plies", s.most_plies, {});
  v("light_sheet", s.light_sheet,
    {.help = "the light of the light sheet", .option = "--light-sheet"});
  v("tolerance_de00", s.tolerance_de00,
    {.help = "DeltaE00 that counts as a match (default 1.8)",
     .option = "--tolerance",
     .least = 0,
     .above_least = true});
  v("tolerance_is_default", s.tolerance_is_default, {.blank = Blank::left_out, .only_read = true});
  v("aim_dL", s.aim_dL,
    {.help = "offset from the sheet as dL,dC: 1,-0.5 aims lighter and duller (default for a loss "
             "0.5,0, for tear and lining 0,0)",
     .option = "--aim",
     .spans = 2});
  v("aim_dC", s.aim_dC, {});
  v("darker_weight", s.darker_weight,
    {.help = "what the chance of coming out darker than the sheet counts in the order, DeltaE00",
     .option = "--weigh-darker",
     .least = 0});
  v("read_within_years", s.read_within_years,
    {.help = "years after which a toned tissue of the record is to be read again",
     .option = "--read-within",
     .least = 0});
  v("sheet_weight_g_m2", s.sheet_weight_g_m2,
    {.help = "weight of the sheet in g/m2, where its readings do not state it",
     .blank = Blank::left_out,
     .option = "--sheet-weight",
     .least = 0,
     .above_least = true});
  v("care", s.care, {});
  v("leave_out", s.leave_out,
    {.help = "leave out what is darker or heavier than the sheet, or bleeding when pasted; may be "
             "repeated",
     .option = "--leave-out"});
  v("top", s.top, {.help = "only the best so many (default: all)", .option = "--top", .least = 1});
  v("weights", s.weights, {});
  v("trials", s.trials,
    {.help = "draws for the probability of being nearest; 0: none",
     .option = "--trials",
     .least = 0});
  v("seed", s.seed, {.help = "of those draws", .option = "--seed"});
  v.settle([](void* into) {
    auto& question = *static_cast<TissueQuestion*>(into);
    if (question.tolerance_is_default.value_or(false)) question.tolerance_de00.reset();
    question.tolerance_is_default.reset();
    return std::string();
  });
}

void fields(Describe& v, TissueRequest& s) {
  v.name("TissueRequest");
  v("target", s.target,
    {.help = "the sheet to match: a file of readings, or a name among the readings of --from",
     .option = "--for",
     .required = true});
  v("target_name", s.target_name,
    {.help = "which sheet, where the file holds several", .option = "--spot"});
  v("tissues", s.tissues,
    {.help = "files with the tissues and their backings",
     .option = "--from",
     .required = true,
     .greedy = true});
  v("over", s.over,
    {.help = "what lies behind when it is shown: the name of a backing that was read, a file with "
             "one reading, or black or white as a nominal one; a sheet of the record knows its own",
     .option = "--over"});
  v("scale", s.scale,
    {.help = "what the readings' numbers are: fraction or percent", .option = "--scale"});
  v("surfaces", s.surfaces, {});
  v("question", s.question, {});
}

void fields(Describe& v, ColourUnder& s) {
  v.name("ColourUnder");
  v("lab", s.lab, {.help = "L*a*b*"});
  v("de00", s.de00, {.help = "from the sheet under that light", .unit = "DeltaE00"});
  v("dL", s.dL, {.help = "minus the sheet: L*"});
  v("da", s.da, {.help = "a*"});
  v("db", s.db, {.help = "b*"});
  v("not_predictable", s.not_predictable,
    {.help = "why it is not what would be seen", .blank = Blank::left_out, .prose = true});
}

void fields(Describe& v, Transmitted& s) {
  v.name("Transmitted");
  v("known", s.known, {});
  v("why", s.why, {.help = "why not", .blank = Blank::null, .prose = true, .since = 2});
  v("lab", s.lab, {.help = "relative to the bare light sheet", .since = 2});
  v("de00", s.de00, {.help = "from the sheet", .unit = "DeltaE00", .since = 2});
  v("dL", s.dL, {.help = "minus the sheet's L*", .since = 2});
  v("light", s.light, {.help = "of the light sheet"});
}

void fields(Describe& v, Shift& s) {
  v.name("Shift");
  v("dL", s.dL, {});
  v("da", s.da, {});
  v("db", s.db, {});
}

void fields(Describe& v, PastedShift& s) {
  v.name("PastedShift");
  v("dL", s.dL, {.help = "pasted minus dry: L*"});
  v("da", s.da, {.help = "a*"});
  v("db", s.db, {.help = "b*"});
  v("de00", s.de00, {.help = "pasted, from the sheet", .unit = "DeltaE00"});
}

void fields(Describe& v, TissueCandidate& s) {
  v.name("TissueCandidate");
  v("tissue", s.tissue, {});
  v("lot", s.lot, {.blank = Blank::null});
  v("state", s.state, {.blank = Blank::null});
  v("plies", s.plies, {});
  v("use", s.use, {});
  v("side", s.side, {});
  v("as_read", s.as_read, {.help = "read over the very backing of use; nothing was predicted"});
  v("lab", s.lab, {.help = "under the viewing light"});
  v("de00", s.de00, {.help = "from the sheet", .unit = "DeltaE00"});
  v("dL", s.dL, {.help = "tissue minus sheet: L*"});
  v("da", s.da, {.help = "a*"});
  v("db", s.db, {.help = "b*"});
  v("aim_de00", s.aim_de00, {.help = "from the aim", .unit = "DeltaE00"});
  v("worst_de00", s.worst_de00, {.help = "under the worst light", .unit = "DeltaE00"});
  v("worst_light", s.worst_light, {});
  v.by_name<&ColourUnder::light>("by_light", s.by_light, {.help = "light by light"});
  v("overlap_de00", s.overlap_de00,
    {.help = "where tissue and sheet lie on each other, from the bare sheet", .unit = "DeltaE00"});
  v("overlap", s.overlap_shift, {.help = "what the overlap adds"});
  v("transmitted", s.transmitted, {.help = "on the light sheet"});
  v("score", s.score, {.help = "the order is by this"});
  v("nearest_probability", s.nearest_probability, {.help = "of being truly the nearest"});
  v("weight_g_m2", s.weight_g_m2, {.help = "all plies together"});
  v("pasted", s.pasted, {.help = "what pasting does"});
  v("group", s.group,
    {.help = "from 1: candidates that nobody could tell from one another",
     .blank = Blank::left_out});
  v("open_line_de00", s.open_line_de00,
    {.help = "in the open line of a tear, where the tissue is bare, from the sheet",
     .unit = "DeltaE00",
     .blank = Blank::left_out});
  v("fit", s.fit,
    {.help = "fits, does not fit, not known: what it can do, asked before its colour",
     .blank = Blank::left_out});
  v("unfit_because", s.unfit_because, {.blank = Blank::left_out, .prose = true});
  v("darker_chance", s.darker_chance,
    {.help = "chance of coming out darker than the sheet", .blank = Blank::left_out});
  v("in_words", s.in_words,
    {.help = "thickness, texture, grain, sheen and drape, as the drawer has them",
     .blank = Blank::left_out,
     .prose = true});
  v("to_be_read_again", s.to_be_read_again, {.blank = Blank::left_out, .prose = true});
  v("reasons", s.reasons, {.prose = true});
  v("cautions", s.cautions, {.prose = true});
}

void fields(Describe& v, TissueLeftOut& s) {
  v.name("TissueLeftOut");
  v("tissue", s.tissue, {});
  v("reason", s.reason, {.prose = true});
}

namespace {

/// What a ranking says besides its candidates.
void before_candidates(Describe& v, TissueAnswer& s) {
  v("target", s.target, {});
  v("over", s.over, {.help = "what lies behind"});
  v("over_from", s.over_from,
    {.help = "where that was taken from, if the question did not say it",
     .blank = Blank::left_out,
     .prose = true});
  v("over_is_nominal", s.over_is_nominal, {.help = "it was not read"});
  v("uses", s.uses, {});
  v("side", s.side, {});
  v("lights", s.lights, {.help = "the first is the viewing light"});
  v("observer", s.observer_deg, {.unit = "degrees"});
  v.group("sheet", {.help = "the bare sheet"}, [&](Describe& g) {
    g.by_name<&ColourUnder::light>("by_light", s.sheet, {});
    g("transmitted", s.sheet_transmitted, {});
    g("weight_g_m2", s.sheet_weight_g_m2, {});
  });
  v("tolerance_de00", s.tolerance_de00, {.unit = "DeltaE00"});
  v("tolerance_origin", s.tolerance_origin, {.prose = true});
  v.group("aim", {.help = "where the sheet's tone is not quite the aim"}, [&](Describe& g) {
    g("dL", s.aim_dL, {});
    g("dC", s.aim_dC, {});
    g("lab", s.aim, {});
  });
  v("score", s.score_formula, {.help = "how the order is made", .prose = true});
  v("surfaces", s.surfaces, {.prose = true});
  v("probability", s.probability_note, {.blank = Blank::null, .prose = true});
  v("ranked", s.ranked, {.help = "candidates before filters"});
  v("within_tolerance", s.within, {.help = "candidates within the tolerance"});
  v("verdict", s.verdict, {.blank = Blank::left_out, .prose = true});
  v("filtered", s.filtered, {.help = "candidates taken away by each filter"});
  v("told_apart_de00", s.told_apart_de00,
    {.help = "less than this under every light is one group",
     .unit = "DeltaE00",
     .blank = Blank::left_out});
  v("groups", s.groups, {.blank = Blank::left_out, .prose = true});
}

void after_candidates(Describe& v, TissueAnswer& s) {
  v("left_out", s.left_out, {.help = "tissues that could not be ranked"});
  v("cautions", s.cautions,
    {.help = "of the act, whichever tissue is taken", .blank = Blank::left_out, .prose = true});
  v("notes", s.notes, {.prose = true});
  v("warnings", s.warnings, {.prose = true});
}

}  // namespace

void fields(Describe& v, TissueAnswer& s) {
  v.name("TissueAnswer");
  v.document("tissue", 2);
  v.method({"Sheets and tissues are computed in many directions of light, no longer in two.",
            "Repeats that stand apart are left out of the mean; of a tear, what nobody could tell "
            "apart stands in the order of weight.",
            "Weight is asked before colour: what cannot do the job stands last. A fill of a loss is "
            "aimed 0.5 L* lighter, and the chance of coming out darker counts."});
  before_candidates(v, s);
  v("candidates", s.candidates, {.help = "best score first; of a tear, each group by weight"});
  after_candidates(v, s);
  v.table("candidates", {{"place", "@place"},
                         {"tissue", "tissue"},
                         {"lot", "lot"},
                         {"state", "state"},
                         {"plies", "plies"},
                         {"use", "use"},
                         {"side", "side"},
                         {"light", "by_light/0/@name"},
                         {"L*", "lab/0"},
                         {"a*", "lab/1"},
                         {"b*", "lab/2"},
                         {"de00", "de00"},
                         {"dL", "dL"},
                         {"da", "da"},
                         {"db", "db"},
                         {"aim_de00", "aim_de00"},
                         {"worst_de00", "worst_de00"},
                         {"worst_light", "worst_light"},
                         {"overlap_de00", "overlap_de00"},
                         {"transmitted_L*", "transmitted/lab/0"},
                         {"transmitted_dL", "transmitted/dL"},
                         {"transmitted_de00", "transmitted/de00"},
                         {"score", "score"},
                         {"nearest_probability", "nearest_probability"},
                         {"weight_g_m2", "weight_g_m2"},
                         {"reasons", "reasons"},
                         {"cautions", "cautions"}});
}

void fields(Describe& v, InDrawer& s) {
  v.name("InDrawer");
  fields(v, s.candidate);
  v("left_cm2", s.left_cm2, {.help = "what is left of it"});
  v("enough", s.enough, {.help = "as much as is needed"});
  v("place", s.place, {.help = "which drawer"});
  v.name("InDrawer");
}

void fields(Describe& v, DrawerAnswer& s) {
  v.name("DrawerAnswer");
  v.document("record.drawer", 2);
  before_candidates(v, s.ranking);
  v("candidates", s.drawer, {.help = "the nearest first"});
  after_candidates(v, s.ranking);
  v.table("candidates", {{"tissue", "tissue"},
                         {"lot", "lot"},
                         {"plies", "plies"},
                         {"de00", "de00"},
                         {"left_cm2", "left_cm2"},
                         {"enough", "enough"},
                         {"place", "place"}});
}

}  // namespace mendtone::results
