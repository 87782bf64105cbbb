#include <algorithm>
#include <cmath>

#include "bench/desk.hpp"
#include "bench/turn.hpp"
#include "mendtone/app/image/fill_window.hpp"
#include "mendtone/app/inputs/viewing.hpp"
#include "mendtone/colour/repeats.hpp"

// Colours and pictures for the screen, through ICC.
namespace mendtone::bench {
namespace {

constexpr std::size_t most_colours = 20000;

/// The white of the light that is named, one of the record's lamps too; D65 where none is.
Result<Xyz> white_of(const Desk& desk, const Json& object) {
  auto name = text_in(object, "light");
  if (!name) return name.error();
  app::ViewingRequest request{{}, 10};
  if (!name->empty()) request.lights = {*name};
  auto viewing = app::viewing(request, {"D65"}, desk.place());
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

/// The colour of that name; nothing where it is not there.
Result<std::optional<Lab>> colour_in(const Json& object, const char* name) {
  const auto found = object.find(name);
  if (found == object.end() || found->is_null()) return std::optional<Lab>();
  auto lab = lab_in(*found);
  if (!lab) return Error{lab.error().code, lab.error().message, name};
  return std::optional(*lab);
}

/// A photograph is meant by its number; a mask by its number, a loss by its name or outline.
Result<app::FillWindowRequest> window_request(const Desk& desk, const Json& object, bool before) {
  app::FillWindowRequest request;
  const auto photograph = object.find("photograph");
  if (photograph == object.end() || !photograph->is_number_unsigned())
    return bad_input("expected the photograph's number", "photograph");
  request.photo.file = "#" + photograph->dump();
  const auto mask = object.find("mask");
  if (mask == object.end() || (!mask->is_number_unsigned() && !mask->is_string()))
    return bad_input("expected the number of a mask, or an outline", "mask");
  request.loss = mask->is_string() ? mask->get<std::string>() : "mask:#" + mask->dump();
  if (const auto most = object.find("max_px"); most != object.end()) {
    if (!most->is_number_unsigned()) return bad_input("expected a whole number", "max_px");
    request.most_px = static_cast<int>(std::min<std::uint64_t>(most->get<std::uint64_t>(), 100000));
  }
  auto light = text_in(object, "light");
  if (!light) return light.error();
  request.viewing = {{}, 10};
  if (!light->empty()) request.viewing.lights = {*light};
  if (before) return request;
  auto lab = colour_in(object, "lab");
  if (!lab) return lab.error();
  if (!*lab) return bad_input("expected the fill's colour as [L, a, b]", "lab");
  auto sheet = colour_in(object, "sheet_lab");
  if (!sheet) return sheet.error();
  request.lab = *lab;
  request.sheet_lab = *sheet;
  return request;
}

}  // namespace

Reply fill_picture_call(Desk& desk, const Asked& asked, const std::string& body) {
  auto object = object_in(body);
  if (!object) return refusal(object.error());
  auto request = window_request(desk, *object, asked.value("before") == "1");
  if (!request) return refusal(request.error());
  const Turn turn(desk.computing);
  if (!turn) return too_busy();
  auto window = app::fill_window(*request, desk.place());
  if (!window) return refusal(window.error());
  LabPixels& lab = window->picture.lab;
  std::vector<std::uint8_t> rgb(3 * lab.size());
  desk.pixels.convert(lab.L.data(), lab.a.data(), lab.b.data(), lab.size(), rgb.data());
  auto png = screen_png(rgb.data(), window->picture.size);
  if (!png) return refusal(png.error());
  Reply reply = as_png(*std::move(png));
  reply.warnings = std::move(window->warnings);
  return reply;
}

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
