#include "record/cells.hpp"

#include <charconv>
#include <cmath>
#include <nlohmann/json.hpp>

#include "formats/json_gate.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::record {
namespace {

using Json = nlohmann::json;

/// The list's items without brackets; nothing when there are no brackets.
std::optional<std::string_view> inside_brackets(std::string_view text) {
  if (text.size() < 2 || text.front() != '[' || text.back() != ']') return std::nullopt;
  return text.substr(1, text.size() - 2);
}

template <class T>
std::optional<std::vector<T>> list_from_text(std::string_view text) {
  const auto inner = inside_brackets(text);
  if (!inner) return std::nullopt;
  std::vector<T> list;
  const char* at = inner->data();
  const char* const end = at + inner->size();
  while (at != end) {
    T value{};
    const auto [next, fault] = std::from_chars(at, end, value);
    if (fault != std::errc{}) return std::nullopt;
    list.push_back(value);
    if (next == end) return list;
    if (*next != ',') return std::nullopt;
    at = next + 1;
    if (at == end) return std::nullopt;
  }
  return list;
}

}  // namespace

std::string numbers_to_text(std::span<const double> numbers) {
  std::string text = "[";
  for (double number : numbers) {
    if (text.size() > 1) text += ',';
    text += shortest(number);
  }
  return text + ']';
}

std::optional<std::vector<double>> numbers_from_text(std::string_view text) {
  auto numbers = list_from_text<double>(text);
  if (!numbers) return std::nullopt;
  for (double number : *numbers)
    if (!std::isfinite(number)) return std::nullopt;
  return numbers;
}

std::string grid_to_text(const WavelengthGrid& grid) {
  if (const auto step = grid.step()) {
    const double whole_step = std::round(*step);
    if (whole_step > 0 &&
        WavelengthGrid::equal_steps(grid.first(), whole_step, grid.size()) == grid)
      return shortest(grid.first()) + ':' + shortest(whole_step) + ':' + shortest(grid.last());
  }
  return numbers_to_text(grid.nm());
}

std::optional<WavelengthGrid> grid_from_text(std::string_view text) {
  if (auto list = numbers_from_text(text)) {
    auto grid = WavelengthGrid::from_nm(*std::move(list));
    if (!grid) return std::nullopt;
    return *std::move(grid);
  }
  const auto one = text.find(':'), two = text.rfind(':');
  if (one == std::string_view::npos || one == two) return std::nullopt;
  const auto first = parse_number(text.substr(0, one));
  const auto step = parse_number(text.substr(one + 1, two - one - 1));
  const auto last = parse_number(text.substr(two + 1));
  if (!first || !step || !last || *first <= 0 || *step < 1) return std::nullopt;
  const double count = (*last - *first) / *step + 1;
  if (!(count >= 2 && count < 1e5)) return std::nullopt;
  return WavelengthGrid::equal_steps(*first, *step, static_cast<std::size_t>(std::llround(count)));
}

std::string ids_to_text(const std::vector<Id>& ids) {
  return Json(ids).dump();
}

std::optional<std::vector<Id>> ids_from_text(std::string_view text) {
  return list_from_text<Id>(text);
}

std::string loads_to_text(const std::map<std::string, double>& loads) {
  return Json(loads).dump(-1, ' ', false, Json::error_handler_t::replace);
}

std::optional<std::map<std::string, double>> loads_from_text(std::string_view text) {
  const auto json = json_from<Json>(text);
  if (!json || !json->is_object()) return std::nullopt;
  std::map<std::string, double> loads;
  for (const auto& [colorant, load] : json->items()) {
    if (!load.is_number()) return std::nullopt;
    loads[colorant] = load.template get<double>();
  }
  return loads;
}

std::string outline_to_text(const Outline& outline) {
  Json json = Json::array();
  for (const auto& polygon : outline) {
    Json corners = Json::array();
    for (const Corner& corner : polygon) corners.push_back({corner.x, corner.y});
    json.push_back(std::move(corners));
  }
  return json.dump();
}

std::optional<Outline> outline_from_text(std::string_view text) {
  const auto json = json_from<Json>(text);
  if (!json || !json->is_array()) return std::nullopt;
  Outline outline;
  for (const Json& corners : *json) {
    if (!corners.is_array()) return std::nullopt;
    auto& polygon = outline.emplace_back();
    for (const Json& corner : corners) {
      if (!corner.is_array() || corner.size() != 2 || !corner[0].is_number() ||
          !corner[1].is_number())
        return std::nullopt;
      polygon.push_back({corner[0].get<double>(), corner[1].get<double>()});
    }
  }
  return outline;
}

}  // namespace mendtone::record
