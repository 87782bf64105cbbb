#include "mendtone/results/lamp.hpp"

namespace mendtone::results {

void fields(Describe& v, LampRequest& s) {
  v.name("LampRequest");
  v("lamps", s.lamps,
    {.help = "a lamp file, FILE#LAMP for one of several, a lamp of the record, or a light's name",
     .option = "LAMP",
     .required = true,
     .greedy = true});
}

void fields(Describe& v, LampFacts& s) {
  v.name("LampFacts");
  v("name", s.name, {.help = "the lamp's name"});
  v("origin", s.origin, {.help = "the table or file that its power comes from"});
  v("quantity", s.quantity, {.help = "what the file calls its numbers, with their unit"});
  v("x", s.x, {.help = "CIE 1931 chromaticity"});
  v("y", s.y, {.help = "CIE 1931 chromaticity"});
  v("u_prime", s.u_prime, {.help = "CIE 1976 chromaticity u'"});
  v("v_prime", s.v_prime, {.help = "CIE 1976 chromaticity v'"});
  v("cct_K", s.cct_K, {.help = "correlated colour temperature", .unit = "K"});
  v("cct_method", s.cct_method, {.help = "how the temperature is found", .prose = true});
  v("duv", s.duv, {.help = "distance from the Planckian locus in CIE 1960; above it is positive"});
  v("below_400_percent", s.below_400_percent,
    {.help = "share of the power below 400 nm", .unit = "%"});
  v("bands_held", s.bands_held, {.help = "bands added so that the ends reach 380 and 780 nm"});
  v("stated_x", s.stated_x, {.help = "x, as the file states it"});
  v("stated_y", s.stated_y, {.help = "y, as the file states it"});
  v("stated_cct_K", s.stated_cct_K,
    {.help = "colour temperature, as the file states it", .unit = "K"});
  v("wavelengths_nm", s.wavelengths_nm, {.help = "wavelengths", .unit = "nm"});
  v("power", s.power, {.help = "spectral power in the file's own unit"});
  v("warnings", s.warnings, {.help = "what stands in doubt", .prose = true});
}

void fields(Describe& v, LampAnswer& s) {
  v.name("LampAnswer");
  v.document("lamp", 1);
  v.method({});
  v("lamps", s.lamps, {.help = "every lamp that was asked for"});
  v.table("lamps", {{"name", "name"},
                    {"origin", "origin"},
                    {"x", "x"},
                    {"y", "y"},
                    {"u_prime", "u_prime"},
                    {"v_prime", "v_prime"},
                    {"cct_K", "cct_K"},
                    {"duv", "duv"},
                    {"below_400_percent", "below_400_percent"},
                    {"bands_held", "bands_held"}});
}

}  // namespace mendtone::results
