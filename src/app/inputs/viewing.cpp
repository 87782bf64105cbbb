#include "mendtone/app/inputs/viewing.hpp"

#include <iterator>

#include "mendtone/app/inputs/lamps.hpp"

namespace mendtone::app {

const std::vector<std::string>& viewing_and_gallery_lights() {
  static const std::vector<std::string> lights{"D65", "LED-B1", "LED-B2", "LED-B3", "A"};
  return lights;
}

Result<Viewing> viewing(const results::ViewingRequest& request,
                        const std::vector<std::string>& defaults, const InputPlace& place) {
  auto observer = observer_from_degrees(request.observer_deg.value_or(10));
  if (!observer) return bad_request(observer.error().message, "--observer");
  Viewing result{{}, *observer, {}};
  for (const std::string& name : request.lights.empty() ? defaults : request.lights) {
    auto named = standard_light(name);
    if (named) {
      result.lights.push_back(*std::move(named));
      continue;
    }
    if (!may_be_lamp(name, place)) return named.error();
    auto lamps = lamps_of_light(name, place);
    // A slip in a light's name is more likely than a lamp that is not there.
    if (!lamps) return is_lamp_file(name, place) ? lamps.error() : named.error();
    for (NamedLamp& lamp : *lamps) {
      result.lights.push_back(std::move(lamp.light.light));
      std::move(lamp.warnings.begin(), lamp.warnings.end(), std::back_inserter(result.warnings));
    }
  }
  return result;
}

}  // namespace mendtone::app
