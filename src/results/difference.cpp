#include "mendtone/results/difference.hpp"

namespace mendtone::results {

void fields(Describe& v, De00Factors& s) {
  v.name("De00Factors");
  v("kL", s.kL,
    {.help = "CIEDE2000's factor of lightness", .option = "--kL", .least = 0, .above_least = true});
  v("kC", s.kC,
    {.help = "CIEDE2000's factor of chroma", .option = "--kC", .least = 0, .above_least = true});
  v("kH", s.kH,
    {.help = "CIEDE2000's factor of hue", .option = "--kH", .least = 0, .above_least = true});
}

void fields(Describe& v, ChangeSettings& s) {
  v.name("ChangeSettings");
  v("factors", s.factors, {});
  v("reproducibility_de00", s.reproducibility_de00,
    {.help = "mean DeltaE00 of the instrument between two sessions, from its certificate",
     .option = "--reproducibility",
     .least = 0});
  v("reseating_de00", s.reseating_de00,
    {.help = "mean DeltaE00 between two seatings, where repeats were taken without lifting",
     .option = "--reseating",
     .least = 0});
  v("repeatability_de00", s.repeatability_de00,
    {.help = "mean DeltaE00 between two readings of one spot, as the instrument's maker states it; "
             "it counts where a side has fewer than three readings",
     .option = "--repeatability",
     .least = 0});
  v("single_reading_de00", s.single_reading_de00,
    {.help = "mean DeltaE00 between two readings of one spot, used where each side is one reading",
     .option = "--single-reading",
     .least = 0,
     .above_least = true});
  v("tolerance_de00", s.tolerance_de00,
    {.help = "the change that is allowed, DeltaE00",
     .option = "--tolerance",
     .least = 0,
     .above_least = true});
  v("seed", s.seed, {.help = "of the simulated draws"});
  v("draws", s.draws, {.help = "how many are drawn"});
}

void fields(Describe& v, DifferenceRequest& s) {
  v.name("DifferenceRequest");
  v("before", s.before, {.help = "readings before", .option = "BEFORE", .required = true});
  v("after", s.after, {.help = "readings after", .option = "AFTER", .required = true});
  v("viewing", s.viewing, {});
  v("settings", s.settings, {});
  v("brightener", s.brightener,
    {.help = "look for a brightener in names read under M1 in one file and M2 in the other",
     .option = "--brightener"});
}

void fields(Describe& v, Brightener& s) {
  v.name("Brightener");
  v("name", s.name, {.help = "the reading's name"});
  v("de00", s.de00, {.help = "M1 against M2, under D50 and 2 degrees", .unit = "DeltaE00"});
  v("db", s.db, {.help = "below 0: less yellow under ultraviolet"});
  v("flagged", s.flagged, {.help = "one was found"});
}

void fields(Describe& v, MeanRegion& s) {
  v.name("MeanRegion");
  v("L_half", s.L_half, {.help = "half of the 95 % interval of L*"});
  v("ab_major", s.ab_major, {.help = "the longer half axis of the ellipse in a*b*"});
  v("ab_minor", s.ab_minor, {.help = "the shorter one"});
  v("ab_angle_deg", s.ab_angle_deg, {.help = "of the longer axis, from +a* towards +b*"});
}

void fields(Describe& v, MetamerismIndex::Value& s) {
  v.name("MetamerismValue");
  v("de_ab", s.de_ab, {.help = "as a CIELAB difference"});
  v("de00", s.de00, {.help = "as CIEDE2000"});
}

void fields(Describe& v, MetamerismUnder& s) {
  v.name("MetamerismUnder");
  v("reference_light", s.reference_light, {.help = "the viewing light"});
  v("test_light", s.test_light, {.help = "the other light"});
  v("de00", s.plain_de00, {.help = "what the visitor sees under the other", .unit = "DeltaE00"});
  v("additive_lab", s.index.additive_lab, {});
  v("multiplicative_lab", s.index.multiplicative_lab, {});
  v("multiplicative_xyz", s.index.multiplicative_xyz, {});
  v("additive_xyz", s.index.additive_xyz, {});
  v("spectral", s.index.spectral, {});
}

void fields(Describe& v, GreyRating& s) {
  v.name("GreyRating");
  v("step", s.step, {.help = "the half step: 5, 4-5 … 1"});
  v("rating", s.rating, {.help = "the same, continuous"});
  v("de_f", s.de_f, {.help = "the standard's own difference"});
}

void fields(Describe& v, Pair& s) {
  v.name("Pair");
  v("name", s.name, {.help = "the reading's name"});
  v("light", s.light, {.help = "the light"});
  v("observer", s.observer_deg, {.help = "the observer", .unit = "degrees"});
  v("de00", s.change.de00, {.help = "the change", .unit = "DeltaE00"});
  v("de_ab", s.de_ab, {.help = "the same as a CIELAB difference"});
  v("dL", s.parts.dL, {.help = "after minus before: L*"});
  v("da", s.parts.da, {.help = "a*"});
  v("db", s.parts.db, {.help = "b*"});
  v("dC", s.parts.dC, {.help = "C*"});
  v("dH", s.parts.dH, {.help = "H*"});
  v("u95", s.change.u95, {.help = "the longer arm of the 95 % interval", .unit = "DeltaE00"});
  v("verdict", s.change.verdict, {.help = "against the tolerance"});
  v("interval95_de00", s.change.interval95, {.help = "the 95 % interval", .unit = "DeltaE00"});
  v("noise_de00", s.change.noise_de00, {.help = "what an unchanged spot would show"});
  v("unbiased_de00", s.change.unbiased_de00, {.help = "the change with the noise taken off"});
  v("zero_probability", s.change.zero_probability, {.help = "of so large a change by chance"});
  v("within_probability", s.change.within_probability, {.help = "of being within the tolerance"});
  v("guarded_limit_de00", s.change.guarded_limit_de00, {.help = "tolerance less the guard band"});
  v("more_readings", s.change.more_readings,
    {.help = "how many more on each side decide in 80 % of cases"});
  v("more_readings_chance", s.change.more_readings_chance,
    {.help = "the chance that so many more decide", .since = 2});
  v("lab_before", s.before, {.help = "L*a*b* before"});
  v("lab_after", s.after, {.help = "L*a*b* after"});
  v("n_before", s.n_before, {.help = "readings before"});
  v("n_after", s.n_after, {.help = "readings after"});
  v("spread_before_de00", s.spread_before_de00, {.help = "their spread", .unit = "DeltaE00"});
  v("spread_after_de00", s.spread_after_de00, {.help = "their spread", .unit = "DeltaE00"});
  v("region95_before", s.region_before, {.help = "where the true mean lies, 95 %"});
  v("region95_after", s.region_after, {.help = "where the true mean lies, 95 %"});
  v("grey_scale", s.grey_scale, {.help = "against the grey scale, ISO 105-A05"});
  v("bands_extrapolated", s.bands_extrapolated, {.help = "bands held at the end value"});
  v("conditions", s.conditions, {.help = "how it was read, as far as stated"});
  v("metamerism", s.metamerism, {.help = "with the viewing light's pair"});
  v("warnings", s.warnings, {.help = "what stands in doubt", .prose = true});
}

void fields(Describe& v, DifferenceAnswer& s) {
  v.name("DifferenceAnswer");
  v.document("difference", 2);
  v.method(
      {"each side has the spread of its own readings; with fewer than three, the spread of the "
       "other spots is used too",
       "repeats that stand apart are left out of the mean"});
  v("lights", s.lights, {.help = "the lights asked for, the viewing light first"});
  v("observer", s.observer_deg, {.help = "the observer", .unit = "degrees"});
  v.group("settings", {.help = "what the verdict rests on"}, [&](Describe& g) {
    g("tolerance_de00", s.settings.tolerance_de00, {.unit = "DeltaE00"});
    g("tolerance_origin", s.tolerance_origin,
      {.help = "where the tolerance comes from", .prose = true});
    g("kL", s.settings.factors.kL, {});
    g("kC", s.settings.factors.kC, {});
    g("kH", s.settings.factors.kH, {});
    g("reproducibility_de00", s.settings.reproducibility_de00, {});
    g("reseating_de00", s.settings.reseating_de00, {});
    g("repeatability_de00", s.settings.repeatability_de00, {.since = 2});
    g("single_reading_de00", s.settings.single_reading_de00, {});
    g("seed", s.settings.seed, {});
    g("draws", s.settings.draws, {});
  });
  v("pairs", s.pairs, {.help = "one a name and light"});
  v("brighteners", s.brighteners, {.help = "names read under M1 and M2"});
  v("refused", s.refused, {.help = "names that were not compared, and why"});
  v("only_before", s.only_before, {.help = "names without a partner after"});
  v("only_after", s.only_after, {.help = "names without a partner before"});
  v("warnings", s.warnings, {.help = "what was done to the files on the way in", .prose = true});
  v.table("pairs", {{"name", "name"},
                    {"light", "light"},
                    {"observer", "observer"},
                    {"de00", "de00"},
                    {"de_ab", "de_ab"},
                    {"dL", "dL"},
                    {"da", "da"},
                    {"db", "db"},
                    {"dC", "dC"},
                    {"dH", "dH"},
                    {"u95", "u95"},
                    {"low95_de00", "interval95_de00/0"},
                    {"high95_de00", "interval95_de00/1"},
                    {"verdict", "verdict"},
                    {"n_before", "n_before"},
                    {"n_after", "n_after"},
                    {"grey_scale", "grey_scale/step"},
                    {"conditions", "conditions"},
                    {"warnings", "warnings"}});
}

}  // namespace mendtone::results
