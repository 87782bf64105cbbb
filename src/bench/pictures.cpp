#include <algorithm>
#include <cmath>

#include "bench/desk.hpp"
#include "mendtone/app/viewing.hpp"
#include "mendtone/colour/repeats.hpp"

// Colours and pictures for the screen, through ICC.
namespace mendtone::bench {
namespace {

constexpr std::size_t most_colours = 20000;

/// The white of the light that is named, one of the record's lamps too; D65 where none is.
Result<Xyz> white_of(const Desk& desk, const Json& object) {
  auto name = text_in(object, "light");
  if (!name) return name.error();
  app::ViewingRequest request{{}, 10, desk.place()};
  if (!name->empty()) request.lights = {*name};
  auto viewing = app::viewing(request, {"D65"});
  if (!viewing) return viewing.error();
  return white_point(viewing->lights.front(), viewing->observer);
}

Result<Lab> lab_in(const Json& value) {
  const bool sound = value.is_array() && value.size() == 3 &&
                     std::all_of(value.begin(), value.end(), [](const Json& part) {
                       return part.is_number() && std::abs(part.get<double>()) <= 1000;
                     });
  if (!sound) return bad_input("expected colours as [L, a, b], numbers of at most 1000", "labs");
  return Lab{value[0].get<double>(), value[1].get<double>(), value[2].get<double>()};
}

}  // namespace

Reply colours_call(Desk& desk, const std::string& body) {
  auto object = object_in(body);
  if (!object) return refusal(object.error());
  auto white = white_of(desk, *object);
  if (!white) return refusal(white.error());
  const auto labs = object->find("labs");
  if (labs == object->end() || !labs->is_array() || labs->size() > most_colours)
    return refusal(400, "expected at most " + std::to_string(most_colours) + " colours", "labs");
  Json colours = Json::array();
  for (const Json& value : *labs) {
    auto lab = lab_in(value);
    if (!lab) return refusal(lab.error());
    const auto seen = desk.colours.of(*lab, *white);
    colours.push_back({{"css", "rgb(" + std::to_string(seen.r) + "," + std::to_string(seen.g) +
                                   "," + std::to_string(seen.b) + ")"},
                       {"outside", seen.outside}});
  }
  return as_json(Json{{"colours", std::move(colours)}});
}

}  // namespace mendtone::bench
