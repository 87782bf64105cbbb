#include "app/inputs/json.hpp"

#include "app/inputs/text.hpp"

namespace mendtone::app {

Json document(std::string_view verb) {
  return {{"schema", "mendtone." + std::string(verb)}, {"version", 1}};
}

Json to_array(const Lab& lab) {
  return Json::array({lab.L, lab.a, lab.b});
}
Json to_array(const Lch& lch) {
  return Json::array({lch.L, lch.C, lch.h});
}
Json to_array(const Xyz& xyz) {
  return Json::array({xyz.X, xyz.Y, xyz.Z});
}
Json or_null(const std::optional<double>& value) {
  return value ? Json(*value) : Json(nullptr);
}

Json to_array(const std::vector<Warning>& warnings) {
  Json list = Json::array();
  for (const Warning& warning : warnings) list.push_back(line_of(warning));
  return list;
}

std::string written(const Json& json) {
  return json.dump(2, ' ', false, Json::error_handler_t::replace);
}

}  // namespace mendtone::app
