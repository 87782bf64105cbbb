#include <algorithm>

#include "results/json.hpp"

namespace mendtone::results {
namespace {

Json number(Whole whole) {
  if (!whole.negative) return whole.magnitude;
  return static_cast<std::int64_t>(0 - whole.magnitude);
}

/// Nothing stands in it.
bool is_blank(const Type& type, const void* value) {
  switch (type.shape) {
    case Shape::text:
      return detail::as<std::string>(value).empty();
    case Shape::word:
      return type.word(value).empty();
    case Shape::maybe:
      return !type.held(value);
    case Shape::list:
    case Shape::named:
      return type.size(value) == 0;
    case Shape::flags:
      return detail::as<std::vector<bool>>(value).empty();
    case Shape::numbers:
      return type.count == 0 && type.numbers(value).empty();
    case Shape::number:
    case Shape::whole:
    case Shape::yes_no:
    case Shape::record:
      return type.blank && type.blank(value);
    case Shape::row:
      break;
  }
  return false;
}

Json record(const Type& type, const void* value) {
  Json json = Json::object();
  if (!type.schema.empty()) {
    json["schema"] = "mendtone." + type.schema;
    json["version"] = type.version;
    if (type.method > 0) json["method"] = type.method;
  }
  for (const Field& field : type.fields) {
    if (field.says.only_typed || field.says.only_read) continue;
    const void* inside = field.in(value);
    if (field.says.among) {
      field.type->each(inside, [&](const std::string& name, const void* one) {
        json[name] = to_value(*field.type->item, one);
      });
    } else if (field.says.blank != Blank::written && is_blank(*field.type, inside)) {
      if (field.says.blank == Blank::null) json[field.key] = nullptr;
    } else {
      json[field.key] = to_value(*field.type, inside);
    }
  }
  return json;
}

Json list(const Type& type, const void* value) {
  Json json = Json::array();
  for (std::size_t i = 0; i < type.size(value); ++i)
    json.push_back(to_value(*type.item, type.at(value, i)));
  return json;
}

Json named(const Type& type, const void* value) {
  Json json = Json::object();
  type.each(value, [&](const std::string& name, const void* one) {
    json[name] = to_value(*type.item, one);
  });
  return json;
}

Json row(const Type& type, const void* value) {
  Json json = Json::array();
  for (const Field& field : type.fields)
    json.push_back(to_value(*field.type, field.in(value)));
  return json;
}

}  // namespace

Json to_value(const Type& type, const void* value) {
  switch (type.shape) {
    case Shape::text:
      return detail::as<std::string>(value);
    case Shape::number:
      return detail::as<double>(value);
    case Shape::whole:
      return number(type.whole(value));
    case Shape::yes_no:
      return detail::as<bool>(value);
    case Shape::word:
      return type.word(value);
    case Shape::numbers:
      return type.numbers(value);
    case Shape::flags:
      return detail::as<std::vector<bool>>(value);
    case Shape::list:
      return list(type, value);
    case Shape::named:
      return named(type, value);
    case Shape::maybe:
      return type.held(value) ? to_value(*type.item, type.held(value)) : Json(nullptr);
    case Shape::row:
      return row(type, value);
    case Shape::record:
      break;
  }
  return record(type, value);
}

std::string to_json(const Type& type, const void* value) {
  return to_value(type, value).dump(2, ' ', false, Json::error_handler_t::replace);
}

std::string to_parameters(const Type& type, const void* value) {
  return to_value(type, value).dump(-1, ' ', false, Json::error_handler_t::replace);
}

}  // namespace mendtone::results
