#include "mendtone/results/common.hpp"

namespace mendtone::results {

void fields(Describe& v, LightNamed& s) {
  v.name("LightNamed");
  v("name", s.name, {.help = "as --light takes it, or the lamp file's name"});
  v("origin", s.origin, {.help = "the table or file that its power comes from"});
  // Version 1 wrote "NAME (ORIGIN)". Names of lamp files may hold brackets, those of tables do not.
  v.from_text([](void* into, std::string_view text) {
    auto& light = *static_cast<LightNamed*>(into);
    const std::size_t file = text.find(" (lamp file ");
    const std::size_t open = file == std::string_view::npos ? text.find(" (") : file;
    if (open == std::string_view::npos || text.back() != ')') {
      light.name = text;
      return true;
    }
    light.name = text.substr(0, open);
    light.origin = text.substr(open + 2, text.size() - open - 3);
    return true;
  });
}

std::string text_of(const LightNamed& light) {
  return light.origin.empty() ? light.name : light.name + " (" + light.origin + ")";
}

std::vector<std::string> texts_of(const std::vector<LightNamed>& lights) {
  std::vector<std::string> texts;
  for (const LightNamed& light : lights) texts.push_back(text_of(light));
  return texts;
}

LightNamed named(const Light& light) {
  return {light.name, light.origin};
}

void fields(Describe& v, Sources& s) {
  v.name("Sources");
  v("files", s.files, {.help = "readings", .required = true});
  v("scale", s.scale,
    {.help = "what the readings' numbers are: fraction or percent", .option = "--scale"});
  v("wavelengths", s.wavelengths,
    {.help = "where the values of a table without a heading lie: first-last:step, as 400-700:10",
     .unit = "nm",
     .blank = Blank::left_out,
     .option = "--wavelengths"});
}

void fields(Describe& v, ViewingRequest& s) {
  v.name("ViewingRequest");
  v("lights", s.lights,
    {.help = "a light by name (D65, A, LED-B1 …) or a lamp file; may be repeated, the first is the "
             "viewing light",
     .option = "--light"});
  v("observer_deg", s.observer_deg,
    {.help = "2 or 10 degrees", .option = "--observer", .one_of = "2|10"});
}

void fields(Describe& v, Refused& s) {
  v.name("Refused");
  v("name", s.name, {.help = "the reading's name"});
  v("light", s.light, {.help = "the light it was refused under; empty: under any"});
  v("reason", s.reason, {.help = "why", .prose = true});
}

std::string match_tolerance_origin(bool asked) {
  return asked ? "as asked"
               : "default, a screening figure: where half of observers accept a pair, in dental "
                 "studies (published, read by the maintainers, source not at hand); no tolerance for "
                 "fills was found";
}

}  // namespace mendtone::results
