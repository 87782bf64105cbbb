#include "mendtone/results/tone.hpp"

namespace mendtone::results {

void fields(Describe& v, ToneRequest& s) {
  v.name("ToneRequest");
  v("sources", s.sources, {.help = "readings", .option = "FILE", .required = true, .greedy = true});
  v("viewing", s.viewing, {});
}

void fields(Describe& v, Tone& s) {
  v.name("Tone");
  v("name", s.name, {.help = "the reading's name"});
  v("light", s.light, {.help = "the light"});
  v("observer", s.observer_deg, {.help = "the observer", .unit = "degrees"});
  v("xyz", s.xyz, {.help = "tristimulus values, the perfect diffuser has Y 100"});
  v("lab", s.lab, {.help = "L*a*b*"});
  v("lch", s.lch, {.help = "L*, C* and hue angle in degrees"});
  v("n", s.n, {.help = "readings averaged"});
  v("spread_de00", s.spread_de00, {.help = "their mean difference from the mean", .unit = "DeltaE00"});
  v("outliers", s.outliers, {.help = "repeats that stand apart; they are not in the mean"});
  v("quantity", s.quantity, {.help = "what was read"});
  v("conditions", s.conditions, {.help = "how it was read, as far as stated"});
  v("warnings", s.warnings, {.help = "what stands in doubt", .prose = true});
}

void fields(Describe& v, ToneAnswer& s) {
  v.name("ToneAnswer");
  v.document("tone", 2);
  v.method({"repeats that stand apart are left out of the mean"});
  v("lights", s.lights, {.help = "the lights asked for, the viewing light first"});
  v("observer", s.observer_deg, {.help = "the observer", .unit = "degrees"});
  v("tones", s.tones, {.help = "every name under every light"});
  v("refused", s.refused, {.help = "names that have no colour under a light, and why"});
  v("warnings", s.warnings, {.help = "what was done to the files on the way in", .prose = true});
  v.table("tones", {{"name", "name"},
                    {"light", "light"},
                    {"observer", "observer"},
                    {"X", "xyz/0"},
                    {"Y", "xyz/1"},
                    {"Z", "xyz/2"},
                    {"L*", "lab/0"},
                    {"a*", "lab/1"},
                    {"b*", "lab/2"},
                    {"C*", "lch/1"},
                    {"h_deg", "lch/2"},
                    {"n", "n"},
                    {"spread_de00", "spread_de00"},
                    {"conditions", "conditions"},
                    {"warnings", "warnings"}});
}

}  // namespace mendtone::results
