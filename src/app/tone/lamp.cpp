#include "mendtone/app/tone/lamp.hpp"

#include "app/inputs/text.hpp"
#include "mendtone/colour/chromaticity.hpp"

namespace mendtone::app {
namespace {

Result<std::vector<NamedLamp>> asked_lamps(const std::string& name, const InputPlace& place) {
  if (auto standard = standard_light(name)) {
    NamedLamp one;
    one.lamp.name = name;
    one.lamp.power = standard->power;
    one.light.light = *std::move(standard);
    return std::vector<NamedLamp>{std::move(one)};
  }
  if (!may_be_lamp(name, place)) return standard_light(name).error();
  return lamps_named(name, place);
}

}  // namespace

Result<LampFacts> lamp_facts(const NamedLamp& named) {
  const auto colour = chromaticity(named.light.light);
  if (!colour) return colour.error();
  LampFacts facts;
  facts.name = named.light.light.name;
  facts.origin = named.light.light.origin;
  facts.quantity = named.lamp.quantity;
  facts.x = colour->x;
  facts.y = colour->y;
  facts.u_prime = colour->u_prime();
  facts.v_prime = colour->v_prime();
  if (const auto temperature = colour_temperature(*colour)) {
    facts.cct_K = temperature->cct_K;
    facts.duv = temperature->duv;
  }
  if (const auto share = share_below_400(named.lamp.power)) facts.below_400_percent = 100 * *share;
  facts.bands_held = named.light.bands_held;
  facts.stated_x = named.lamp.stated_x;
  facts.stated_y = named.lamp.stated_y;
  facts.stated_cct_K = named.lamp.stated_cct_K;
  facts.cct_method = "nearest Planckian radiator in CIE 1960 u, v (CIE 15)";
  const auto nm = named.lamp.power.grid.nm();
  facts.wavelengths_nm.assign(nm.begin(), nm.end());
  facts.power = named.lamp.power.value;
  for (const Warning& warning : named.warnings) facts.warnings.push_back(line_of(warning));
  return facts;
}

Result<LampAnswer> lamp(const LampRequest& request, const InputPlace& place) {
  LampAnswer answer;
  for (const std::string& name : request.lamps) {
    auto lamps = asked_lamps(name, place);
    if (!lamps) return lamps.error();
    for (const NamedLamp& one : *lamps) {
      auto facts = lamp_facts(one);
      if (!facts) return facts.error();
      answer.lamps.push_back(*std::move(facts));
    }
  }
  if (answer.lamps.empty()) return bad_request("no lamp is named", "LAMP");
  return answer;
}

}  // namespace mendtone::app
