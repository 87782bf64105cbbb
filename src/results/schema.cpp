#include "results/json.hpp"

// JSON Schema 2020-12. Records that have a name stand once, in $defs.
namespace mendtone::results {
namespace {

class Schema {
 public:
  Json defs = Json::object();

  Json of(const Type& type) {
    switch (type.shape) {
      case Shape::text:
        return {{"type", "string"}};
      case Shape::number:
        return {{"type", "number"}};
      case Shape::whole:
        return {{"type", "integer"}};
      case Shape::yes_no:
        return {{"type", "boolean"}};
      case Shape::word:
        return {{"enum", type.words}};
      case Shape::numbers:
        return numbers(type);
      case Shape::flags:
        return {{"type", "array"}, {"items", {{"type", "boolean"}}}};
      case Shape::list:
        return {{"type", "array"}, {"items", of(*type.item)}};
      case Shape::named:
        return {{"type", "object"}, {"additionalProperties", of(*type.item)}};
      case Shape::maybe:
        return or_null(of(*type.item));
      case Shape::row:
        return row(type);
      case Shape::record:
        break;
    }
    return type.name.empty() ? record(type) : named(type);
  }

  Json record(const Type& type) {
    Json properties = Json::object(), required = Json::array(), others = false;
    if (!type.schema.empty()) {
      properties["schema"] = {{"const", "mendtone." + type.schema}};
      properties["version"] = {{"const", type.version}};
      required = {"schema", "version"};
      if (type.method > 0) {
        properties["method"] = {{"const", type.method}};
        required.push_back("method");
      }
    }
    for (const Field& field : type.fields) {
      if (field.says.only_typed || field.says.only_read) continue;
      if (field.says.among) {
        others = of(*field.type->item);
        continue;
      }
      properties[field.key] = described(field);
      if (field.says.blank != Blank::left_out) required.push_back(field.key);
    }
    return {{"type", "object"},
            {"properties", std::move(properties)},
            {"required", std::move(required)},
            {"additionalProperties", std::move(others)}};
  }

 private:
  static Json numbers(const Type& type) {
    Json json = {{"type", "array"}, {"items", {{"type", "number"}}}};
    if (type.count > 0) json["minItems"] = json["maxItems"] = type.count;
    return json;
  }

  Json row(const Type& type) {
    Json items = Json::array();
    for (const Field& field : type.fields) items.push_back(of(*field.type));
    return {{"type", "array"}, {"prefixItems", std::move(items)}, {"items", false}};
  }

  Json named(const Type& type) {
    if (!defs.contains(type.name)) {
      defs[type.name] = nullptr;
      defs[type.name] = record(type);
    }
    return {{"$ref", "#/$defs/" + type.name}};
  }

  static Json or_null(Json schema) {
    return {{"anyOf", Json::array({std::move(schema), {{"type", "null"}}})}};
  }

  Json described(const Field& field) {
    Json schema = of(*field.type);
    if (field.says.blank == Blank::null && field.type->shape != Shape::maybe)
      schema = or_null(std::move(schema));
    std::string help(field.says.help);
    if (!field.says.unit.empty()) help += (help.empty() ? "in " : ", in ") + std::string(field.says.unit);
    if (!help.empty()) schema["description"] = help;
    return schema;
  }
};

}  // namespace

std::string json_schema(const Type& type) {
  Schema walk;
  const Json body = walk.record(type);
  Json schema = {{"$schema", "https://json-schema.org/draft/2020-12/schema"},
                 {"title", type.schema.empty() ? type.name : "mendtone." + type.schema}};
  schema.update(body);
  if (!walk.defs.empty()) schema["$defs"] = std::move(walk.defs);
  return schema.dump(2);
}

}  // namespace mendtone::results
