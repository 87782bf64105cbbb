#include <algorithm>
#include <map>

#include "mendtone/results/walk.hpp"

namespace mendtone::results {
namespace {

class TypeScript {
 public:
  std::string of(const Type& type) {
    switch (type.shape) {
      case Shape::text:
        return "string";
      case Shape::number:
      case Shape::whole:
        return "number";
      case Shape::yes_no:
        return "boolean";
      case Shape::word:
        return words(type);
      case Shape::numbers:
        return numbers(type);
      case Shape::flags:
        return "boolean[]";
      case Shape::list:
        return in_brackets(of(*type.item)) + "[]";
      case Shape::named:
        return "Record<string, " + of(*type.item) + ">";
      case Shape::maybe:
        return of(*type.item) + " | null";
      case Shape::row:
        return row(type);
      case Shape::record:
        break;
    }
    if (type.name.empty()) return body(type, "  ");
    if (!known_.count(type.name)) {
      known_[type.name] = "";
      known_[type.name] = "export interface " + type.name + " " + body(type, "") + "\n";
    }
    return type.name;
  }

  std::string all() const {
    std::string text = "// Made by the build from the field lists; not to be edited.\n";
    for (const auto& [name, definition] : known_) text += "\n" + definition;
    return text;
  }

 private:
  static std::string in_brackets(const std::string& type) {
    return type.find(" | ") == std::string::npos ? type : "(" + type + ")";
  }

  static std::string words(const Type& type) {
    std::string text;
    for (const std::string_view word : type.words)
      text += (text.empty() ? "'" : " | '") + std::string(word) + "'";
    return text;
  }

  static std::string numbers(const Type& type) {
    if (type.count == 0) return "number[]";
    std::string text = "[number";
    for (std::size_t i = 1; i < type.count; ++i) text += ", number";
    return text + "]";
  }

  std::string row(const Type& type) {
    std::string text;
    for (const Field& field : type.fields) text += (text.empty() ? "[" : ", ") + of(*field.type);
    return text + "]";
  }

  static std::string property(const std::string& key) {
    const bool plain = std::all_of(key.begin(), key.end(), [](char c) {
      return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_';
    });
    return plain ? key : "'" + key + "'";
  }

  std::string body(const Type& type, const std::string& indent) {
    std::string text = "{\n";
    if (!type.schema.empty())
      text += indent + "  schema: 'mendtone." + type.schema + "';\n" + indent +
              "  version: " + std::to_string(type.version) + ";\n" +
              (type.method > 0 ? indent + "  method: number;\n" : std::string());
    for (const Field& field : type.fields) {
      if (field.says.only_typed) continue;
      if (field.says.among) {
        text += indent + "  [name: string]: " + of(*field.type->item);
        for (const Field& other : type.fields)
          if (!other.says.among) text += " | " + of(*other.type);
        text += ";\n";
        continue;
      }
      const bool may_be_null =
          field.says.blank == Blank::null && field.type->shape != Shape::maybe;
      if (!field.says.help.empty())
        text += indent + "  /// " + std::string(field.says.help) + "\n";
      text += indent + "  " + property(field.key) +
              (field.says.blank == Blank::left_out ? "?: " : ": ") + of(*field.type) +
              (may_be_null ? " | null" : "") + ";\n";
    }
    return text + indent + "}";
  }

  std::map<std::string, std::string> known_;
};

}  // namespace

std::string typescript(std::span<const Type* const> types) {
  TypeScript walk;
  for (const Type* type : types) walk.of(*type);
  return walk.all();
}

}  // namespace mendtone::results
