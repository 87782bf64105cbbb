#include "mendtone/results/wash.hpp"

namespace mendtone::results {
namespace {

Says weight(std::string_view option, std::string_view help) {
  return {.help = help, .option = option, .least = 0};
}

}  // namespace

void fields(Describe& v, RecipeWeights& s) {
  v.name("RecipeWeights");
  v("viewing", s.viewing, weight("--weigh-viewing", "weight of the viewing light in the order"));
  v("worst", s.worst, weight("--weigh-worst", "weight of the worst light in the order"));
  v("transmitted", s.transmitted,
    weight("--weigh-light-sheet", "weight of the light sheet in the order"));
  v("colorants", s.colorants, weight("--weigh-colorants", "weight of each colorant in the order"));
  v("load", s.load, weight("--weigh-load", "weight of the loads in the order"));
}

void fields(Describe& v, Exclusion& s) {
  v.name("Exclusion");
  v("colorant", s.colorant, {});
  v("reason", s.reason, {.prose = true});
}

void fields(Describe& v, Stock& s) {
  v.name("Stock");
  v("name", s.name, {});
  v("colorant", s.colorant, {});
  v("strength_per_ml", s.strength_per_ml, {.help = "load units in 1 ml"});
  v("ml_per_drop", s.ml_per_drop, {});
}

void fields(Describe& v, WashRequest& s) {
  v.name("WashRequest");
  v("target", s.target,
    {.help = "the sheet to match: readings, or a name in the record",
     .option = "--for",
     .required = true});
  v("target_name", s.target_name,
    {.help = "which sheet, where there are several", .option = "--spot"});
  v("backings", s.backings,
    {.help = "files in which the backings were read, if not in the others",
     .option = "--backings",
     .greedy = true});
  v("on", s.on,
    {.help = "the tissue to tone: readings, or the name that the colorants were calibrated on; "
             "with colorants calibrated as a film: readings of the fill in place",
     .option = "--on",
     .required = true});
  v("on_name", s.on_name, {.help = "which tissue, where there are several", .option = "--tissue"});
  v("palette", s.palette,
    {.help = "the calibrated colorants: what 'colorant --out' wrote",
     .option = "--from",
     .required = true});
  v("over", s.over,
    {.help = "what lies behind when it is shown: a backing's name (a film needs none where its "
             "fill was read over one thing only); a sheet of the record knows its own",
     .option = "--over"});
  v("plies", s.plies,
    {.help = "plies of it, all toned alike (not for a film)",
     .option = "--plies",
     .least = 1,
     .most = 8});
  v("use", s.use, {.help = "loss, tear or lining", .option = "--use"});
  v("side", s.side,
    {.help = "where the tissue lies on the sheet: back or front", .option = "--side"});
  v("application", s.application,
    {.help = "absorbed (toning) or film (retouching); by default the calibration's",
     .option = "--application"});
  v("at_most", s.at_most,
    {.help = "colorants in one recipe", .option = "--at-most", .least = 1, .most = 4});
  v("top", s.top, {.help = "only the best so many", .option = "--top", .least = 1, .most = 1000});
  v("exclude", s.exclude,
    {.help = "NAME=REASON: a colorant that is not to be used, and why", .option = "--exclude"});
  v("max_load", s.max_load,
    {.help = "NAME=LOAD, or LOAD for all: the highest load (default: as calibrated)",
     .option = "--max-load",
     .least = 0});
  v("aim_dL", s.aim_dL,
    {.help = "offset from the sheet as dL,dC: 1,-0.5 aims lighter and duller (default for a loss "
             "0.5,0, for tear and lining 0,0)",
     .option = "--aim",
     .spans = 2});
  v("aim_dC", s.aim_dC, {});
  v("darker_weight", s.darker_weight,
    weight("--weigh-darker",
           "what the chance of coming out darker than the sheet counts in the order, DeltaE00"));
  v("care", s.care, {});
  v("weights", s.weights, {});
  v("viewing", s.viewing, {});
  v("light_sheet", s.light_sheet,
    {.help = "the light of the light sheet", .option = "--light-sheet"});
  v("tolerance_de00", s.tolerance_de00,
    {.help = "DeltaE00 that counts as a match (default 1.8)",
     .option = "--tolerance",
     .least = 0,
     .above_least = true});
  v("tolerance_is_default", s.tolerance_is_default, {.blank = Blank::left_out, .only_read = true});
  v("method", s.method,
    {.help = "bath (default) or brush; a film is always brushed", .option = "--method"});
  v("stocks", s.stocks,
    {.help = "stock file: strengths and calibrated droppers", .option = "--stock"});
  v("pick_up_ml_m2", s.pick_up_ml_m2,
    {.help = "ml that 1 m2 of this tissue takes up in one dip: wet minus dry weight over area",
     .option = "--pick-up",
     .least = 0,
     .above_least = true});
  v("pick_up_sd", s.pick_up_sd,
    {.help = "its standard deviation from sheet to sheet, per cent",
     .option = "--pick-up-spread",
     .least = 0,
     .per = 100});
  v("volume_ml", s.volume_ml,
    {.help = "ml to make up", .option = "--volume", .least = 0, .above_least = true});
  v("area_m2", s.area_m2,
    {.help = "m2 of one sheet", .option = "--area", .least = 0, .above_least = true});
  v("laid_ml", s.laid_ml,
    {.help = "with brush: ml of it that are laid down, all coats (weigh the dish before and "
             "after); default: the whole volume",
     .option = "--lay",
     .least = 0,
     .above_least = true});
  v("sheets", s.sheets, {.help = "sheets from one volume", .option = "--sheets", .least = 1});
  v("coats", s.coats,
    {.help = "equal coats (or dips) that make up the load",
     .option = "--coats",
     .least = 1,
     .most = 20});
  v("tray_ml", s.tray_ml,
    {.help = "ml that the tray needs to be covered", .option = "--tray", .least = 0});
  v("let_down", s.let_down,
    {.help = "strengths of the same bath for paler sheets, as in 0.75,0.5,0.25",
     .option = "--let-down",
     .least = 0,
     .above_least = true});
  v("gaps", s.gaps, {.help = "readings of the tones that the drawer lacks", .option = "--gaps"});
  v("scale", s.scale,
    {.help = "what the readings' numbers are: fraction or percent", .option = "--scale"});
  v("threads", s.threads,
    {.help = "cores to use; 0: all. The answer is the same",
     .option = "--threads",
     .least = 0,
     .only_typed = true});
  v.settle([](void* into) {
    auto& request = *static_cast<WashRequest*>(into);
    if (request.tolerance_is_default.value_or(false)) request.tolerance_de00.reset();
    request.tolerance_is_default.reset();
    return std::string();
  });
}

void fields(Describe& v, RecipeCoat& s) {
  v.name("RecipeCoat");
  v("n", s.n, {.help = "after which coat"});
  v.by_name<&Load::colorant, &Load::load>("loads", s.loads, {});
  v("lab", s.lab, {});
  v("de00", s.de00, {.help = "from the sheet", .unit = "DeltaE00"});
  v("transmitted", s.transmitted, {});
}

void fields(Describe& v, MeasuredOut& s) {
  v.name("MeasuredOut");
  v("stock", s.stock, {.help = "the last one is the water"});
  v("ml", s.ml, {});
  v("drops", s.drops, {});
  v("drops_ml", s.drops_ml, {.help = "what the drops come to"});
  v("of_volume_ml", s.of_volume_ml, {});
}

void fields(Describe& v, WholeDrops& s) {
  v.name("WholeDrops");
  v.by_name<&Load::colorant, &Load::load>("loads", s.loads, {});
  v("lab", s.lab, {});
  v("de00", s.de00, {.help = "from the sheet", .unit = "DeltaE00"});
  v("aim_de00", s.aim_de00, {.help = "from the aim", .unit = "DeltaE00"});
}

void fields(Describe& v, Brushed& s) {
  v.name("Brushed");
  v("laid_ml", s.laid_ml, {.help = "in all coats"});
}

void fields(Describe& v, Bathed& s) {
  v.name("Bathed");
  v("needed_ml", s.needed_ml, {.help = "for sheets, coats and tray"});
  v("taken_per_dip_ml", s.taken_per_dip_ml, {});
  v("loss_per_dip_if_topped_up", s.loss_per_dip, {.help = "share of the bath's strength"});
  v("last_dip_de00_if_topped_up", s.last_dip_de00,
    {.help = "last sheet from the first", .unit = "DeltaE00"});
}

void fields(Describe& v, PalerSheet& s) {
  v.name("PalerSheet");
  v("factor", s.factor, {.help = "of the bath's strength"});
  v.by_name<&Load::colorant, &Load::load>("loads", s.loads, {});
  v("lab", s.lab, {});
  v("transmitted", s.transmitted, {});
}

void fields(Describe& v, GapFilled& s) {
  v.name("GapFilled");
  v("gap", s.gap, {});
  v("factor", s.factor, {});
  v("de00", s.de00, {.unit = "DeltaE00"});
}

void fields(Describe& v, WashRecipe& s) {
  v.name("WashRecipe");
  v("number", s.number, {});
  v("kind", s.kind, {.help = "mix: for a fresh sheet; coat: for the sheet in hand"});
  v.by_name<&Load::colorant, &Load::load>("loads", s.loads, {});
  v("load_unit", s.load_unit, {});
  v("lab", s.lab, {.help = "predicted, under the viewing light"});
  v("de00", s.de00, {.help = "from the sheet", .unit = "DeltaE00"});
  v("dL", s.dL, {.help = "minus the sheet: L*"});
  v("da", s.da, {.help = "a*"});
  v("db", s.db, {.help = "b*"});
  v("aim_de00", s.aim_de00, {.help = "from the aim", .unit = "DeltaE00"});
  v("u95_de00", s.u95_de00, {.help = "95 % of sheets come within this", .unit = "DeltaE00"});
  v.by_name<&ColourUnder::light>("by_light", s.by_light, {});
  v("worst_de00", s.worst_de00, {.help = "under the worst light", .unit = "DeltaE00"});
  v("worst_light", s.worst_light, {});
  v("transmitted", s.transmitted, {.help = "on the light sheet"});
  v("objective", s.objective, {.help = "the order is by this"});
  v("darker_chance", s.darker_chance,
    {.help = "chance of coming out darker than the sheet", .blank = Blank::left_out});
  v("at_limit", s.at_limit, {.help = "a colorant stands at its highest load"});
  v("coats", s.coats, {});
  v("dispense", s.dispense, {.help = "what to measure out"});
  v("one_drop_de00", s.one_drop_de00,
    {.help = "the most that one drop more or less changes", .unit = "DeltaE00"});
  v("no_dispense", s.no_dispense,
    {.help = "why it is not measured out", .blank = Blank::left_out, .prose = true});
  v("one_drop_stock", s.one_drop_stock, {.blank = Blank::left_out});
  v("whole_drops", s.whole_drops, {.blank = Blank::left_out});
  v("pick_up_u95_de00", s.pick_up_u95_de00,
    {.help = "95 % of sheets come within this, by pick-up alone",
     .unit = "DeltaE00",
     .blank = Blank::left_out});
  v("brush", s.brush, {.blank = Blank::left_out});
  v("bath", s.bath, {.blank = Blank::left_out});
  v("advice", s.advice, {.blank = Blank::left_out, .prose = true});
  v("let_down", s.let_down, {.blank = Blank::left_out});
  v("gaps", s.gaps, {.blank = Blank::left_out});
  v("cautions", s.cautions, {.prose = true});
}

void fields(Describe& v, PlanLight& s) {
  v.name("PlanLight");
  v("light", s.light, {});
  v("x", s.x, {.help = "tristimulus weights on the palette's bands"});
  v("y", s.y, {});
  v("z", s.z, {});
  v("white", s.white, {});
  v("origin", s.origin, {.was = "described"});
  v("predictable", s.predictable, {.since = 2});
  v("sheet_lab", s.sheet, {});
  v("aim_lab", s.aim, {});
  // Version 1 wrote "NAME (ORIGIN)" there.
  v.settle([](void* into) {
    auto& light = *static_cast<PlanLight*>(into);
    const std::string before = light.light + " (";
    if (light.origin.rfind(before, 0) == 0 && light.origin.back() == ')')
      light.origin = light.origin.substr(before.size(), light.origin.size() - before.size() - 1);
    return std::string();
  });
}

void fields(Describe& v, PlanTransmitted::Weights& s) {
  v.name("PlanWeights");
  v("light", s.light, {});
  v("x", s.x, {});
  v("y", s.y, {});
  v("z", s.z, {});
  v("white", s.white, {});
}

void fields(Describe& v, PlanTransmitted& s) {
  v.name("PlanTransmitted");
  v("known", s.known, {});
  v("why", s.why, {.prose = true});
  v("weights", s.weights, {.blank = Blank::left_out});
  v("sheet_lab", s.sheet, {.blank = Blank::left_out});
}

void fields(Describe& v, PlanDispensing& s) {
  v.name("PlanDispensing");
  v("possible", s.possible, {});
  v("why_not", s.why_not, {.prose = true});
  v("method", s.method, {});
  v("volume_ml", s.volume_ml, {});
  v("laid_ml", s.laid_ml, {.since = 2});
  v("pick_up_ml_m2", s.pick_up_ml_m2, {});
  v("pick_up_sd", s.pick_up_sd, {});
  v("area_m2", s.area_m2, {});
  v("sheets", s.sheets, {});
  v("coats", s.coats, {});
  v("tray_ml", s.tray_ml, {});
  v("stocks", s.stocks, {});
}

void fields(Describe& v, WashPlan& s) {
  v.name("WashPlan");
  v("target", s.target, {.help = "the sheet"});
  v("tissue", s.tissue, {.help = "the tissue, or the fill of a film"});
  v("over", s.over, {.help = "what lies behind"});
  v("over_from", s.over_from,
    {.help = "where that was taken from, if the question did not say it",
     .blank = Blank::left_out,
     .prose = true});
  v("use", s.use, {});
  v("side", s.side, {});
  v("plies", s.plies, {});
  v("observer", s.observer_deg, {.unit = "degrees"});
  v.group("aim_offset", {}, [&](Describe& g) {
    g("dL", s.aim_dL, {});
    g("dC", s.aim_dC, {});
  });
  v("tolerance_de00", s.tolerance_de00, {.unit = "DeltaE00"});
  v("tolerance_origin", s.tolerance_origin, {.prose = true});
  v("another_lot_de00", s.another_lot_de00, {.help = "what another lot adds to the uncertainty"});
  v("brightener", s.brightener, {.help = "of sheet and tissue, those that hold one", .since = 2});
  v("at_most", s.at_most, {});
  v("top", s.top, {});
  v("weights", s.weights, {});
  v.by_name<&Load::colorant, &Load::load>("max_load", s.max_load, {});
  v("excluded", s.excluded, {});
  v("lights", s.lights, {});
  v("light_sheet", s.light_sheet, {});
  v("transmitted", s.transmitted, {});
  v.group("place", {.help = "into which the added material is put"}, [&](Describe& g) {
    g("below", s.below, {});
    g("above", s.above, {});
    g("beneath", s.beneath, {});
    g("gloss", s.gloss, {});
    g("trial_below", s.trial_below, {});
  });
  v("dispensing", s.dispensing, {});
  v("palette", s.palette, {});
  v("care", s.care, {.blank = Blank::left_out});
}

void fields(Describe& v, Untoned& s) {
  v.name("Untoned");
  v("lab", s.lab, {});
  v("de00", s.de00, {.help = "from the sheet", .unit = "DeltaE00"});
}

void fields(Describe& v, Nearer& s) {
  v.name("Nearer");
  v("what", s.what, {.prose = true});
  v("aim_de00", s.aim_de00, {.help = "from the aim", .unit = "DeltaE00"});
}

namespace {

void recipes_table(Describe& v) {
  v.table("recipes/loads", {{"recipe", "../number"},
                            {"kind", "../kind"},
                            {"colorant", "@name"},
                            {"load", ""},
                            {"load_unit", "../load_unit"},
                            {"L*", "../lab/0"},
                            {"a*", "../lab/1"},
                            {"b*", "../lab/2"},
                            {"de00", "../de00"},
                            {"aim_de00", "../aim_de00"},
                            {"worst_de00", "../worst_de00"},
                            {"u95_de00", "../u95_de00"}});
}

}  // namespace

void fields(Describe& v, WashAnswer& s) {
  v.name("WashAnswer");
  v.document("wash", 2);
  v.method(
      {"what comes to no drop is left out of what is measured out; repeats that stand apart "
       "are left out of the mean",
       "the sheet is computed in many directions of light, no longer in two",
       "what comes to no drop is not what one drop more or less is said of; a fill of a loss is aimed "
       "0.5 L* lighter, and the chance of coming out darker counts; a colorant that the record "
       "excludes is not planned"});
  v("application", s.application, {});
  v("lights", s.lights, {.help = "the first is the viewing light"});
  v("observer", s.observer_deg, {.unit = "degrees"});
  v("sheet", s.sheet, {.help = "L*a*b* of the sheet under the viewing light"});
  v("aim", s.aim, {});
  v("tolerance_de00", s.tolerance_de00, {.unit = "DeltaE00"});
  v("tolerance_origin", s.tolerance_origin, {.prose = true});
  v("recipes", s.recipes, {.help = "the nearest first"});
  v("searched", s.searched, {.help = "sets of colorants that were solved"});
  v("skipped", s.skipped, {.help = "sets proved unable to come among the best"});
  v("exact", s.exact, {.help = "the list is complete"});
  v("proof", s.proof, {.prose = true});
  v("why_not_exact", s.why_not_exact, {.prose = true});
  v("within_tolerance", s.within_tolerance, {});
  v("verdict", s.verdict, {.blank = Blank::left_out, .prose = true});
  v("untoned", s.untoned, {});
  v("nearer", s.nearer, {.help = "what would bring it nearer"});
  v("objective", s.objective, {.help = "how the order is made", .prose = true});
  v("notes", s.notes, {.prose = true});
  v("warnings", s.warnings, {.prose = true});
  v("problem", s.problem, {.help = "all that a correction needs"});
  recipes_table(v);
}

void fields(Describe& v, CorrectRequest& s) {
  v.name("CorrectRequest");
  v("recipe_file", s.recipe_file,
    {.help = "what 'wash --format json' or 'correct --format json' wrote",
     .option = "RECIPE",
     .required = true});
  v("recipe", s.recipe,
    {.help = "which of its recipes was laid down", .option = "--recipe", .least = 1});
  v("after_coat", s.after_coat,
    {.help = "the trial was read after this coat (default: all of them, or what its load columns "
             "say)",
     .option = "--after-coat",
     .least = 1});
  v("trials", s.trials,
    {.help = "readings of the dry trial", .option = "--trial", .required = true, .greedy = true});
  v("dosing_sd", s.dosing_sd,
    {.help = "standard deviation of one colorant in one mix, per cent",
     .option = "--dosing-spread",
     .least = 0,
     .per = 100});
  v("pick_up_sd", s.pick_up_sd,
    {.help = "of one sheet's pick-up, per cent",
     .option = "--pick-up-spread",
     .least = 0,
     .per = 100});
  v("strength_sd", s.strength_sd,
    {.help = "of a stock against its calibration, per cent (default 5)",
     .option = "--strength-spread",
     .least = 0,
     .per = 100});
}

void fields(Describe& v, TrialRead& s) {
  v.name("TrialRead");
  v("lab", s.lab, {.help = "as read, under the viewing light"});
  v("de00", s.de00, {.help = "from the sheet", .unit = "DeltaE00"});
  v("predicted_de00", s.predicted_de00, {.help = "from the prediction", .unit = "DeltaE00"});
  v("aim_de00", s.aim_de00, {.help = "from the aim", .unit = "DeltaE00", .since = 2});
  v("predicted", s.predicted,
    {.help = "L*a*b* of the prediction, under the viewing light", .blank = Blank::left_out});
  v("repeats", s.repeats, {.blank = Blank::left_out});
  v("interval95", s.interval95,
    {.help = "of the difference from the aim, the sheet taken to be read as carefully",
     .unit = "DeltaE00",
     .blank = Blank::left_out});
  v("verdict", s.verdict, {.help = "of that interval", .blank = Blank::left_out});
}

void fields(Describe& v, LearnedStrength& s) {
  v.name("LearnedStrength");
  v("strength", s.strength, {.help = "against the calibration, 1: as calibrated"});
  v("u95", s.u95, {});
}

void fields(Describe& v, Learned& s) {
  v.name("Learned");
  v.by_name<&LearnedStrength::colorant>("colorants", s.colorants, {.among = true});
  v("offset_lab", s.offset, {.help = "what the calibration is off by"});
  v("of_which_dosing", s.of_which_dosing, {.help = "the share that was chance"});
}

void fields(Describe& v, SpreadsUsed& s) {
  v.name("SpreadsUsed");
  v("dosing_sd", s.dosing_sd, {});
  v("pick_up_sd", s.pick_up_sd, {});
  v("strength_sd", s.strength_sd, {});
  v("model_de00", s.model_de00, {});
}

void fields(Describe& v, KeptTrial& s) {
  v.name("KeptTrial");
  v("name", s.name, {});
  v("same_sheet", s.same_sheet, {.help = "laid on the sheet of the trial before"});
  v.by_name<&Load::colorant, &Load::load>("added", s.added, {});
  v("reflectance", s.reflectance, {});
}

void fields(Describe& v, CorrectAnswer& s) {
  v.name("CorrectAnswer");
  v.document("correct", 2);
  v.method(
      {"a correction that is not expected to come nearer than the trial is not offered; what "
       "comes to no drop, and repeats that stand apart, are left out",
       "what comes to no drop is not what one drop more or less is said of"});
  v("lights", s.lights, {.help = "the first is the viewing light"});
  v("observer", s.observer_deg, {.unit = "degrees"});
  v("trial", s.trial, {});
  v("learned", s.learned, {.help = "colorant by colorant"});
  v("spreads", s.spreads, {});
  v("recipes", s.recipes,
    {.help = "of one more coat and a new mix, those that should come nearer; the nearer first"});
  v("searched", s.searched, {});
  v("exact", s.exact, {});
  v("within_tolerance", s.within_tolerance, {});
  v("what_now", s.what_now,
    {.help = "whether to stop, to read again, or to go on",
     .blank = Blank::left_out,
     .prose = true});
  v("notes", s.notes, {.prose = true});
  v("warnings", s.warnings, {.prose = true});
  v("trials", s.trials, {.help = "all so far"});
  v("problem", s.problem, {.help = "all that the next correction needs"});
  recipes_table(v);
}

}  // namespace mendtone::results
