#include <algorithm>
#include <limits>

#include "formats/json_gate.hpp"
#include "results/json.hpp"

// Strict: every value has the type that its field says, or is refused with its place.
namespace mendtone::results {
namespace {

std::string shortened(const std::string& text) {
  if (text.size() <= 60) return text;
  std::size_t end = 56;
  while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xC0) == 0x80) --end;
  return text.substr(0, end) + " …";
}

std::string found(const Json& json) {
  switch (json.type()) {
    case Json::value_t::object:
      return "an object";
    case Json::value_t::array:
      return "a list of " + std::to_string(json.size());
    case Json::value_t::null:
      return "null";
    default:
      return shortened(json.dump(-1, ' ', false, Json::error_handler_t::replace));
  }
}

std::string listed(const std::vector<std::string_view>& words) {
  std::string text;
  for (const std::string_view word : words)
    if (!word.empty()) text += (text.empty() ? "" : ", ") + std::string(word);
  return text;
}

/// A key as it stands in a JSON pointer (RFC 6901).
std::string in_pointer(const std::string& key) {
  std::string text;
  for (const char c : key) text += c == '~' ? "~0" : c == '/' ? "~1" : std::string(1, c);
  return text;
}

class Reader {
 public:
  Reader(Reading reading, int version) : reading_(reading), version_(version) {}

  std::string where, fault;

  bool read(const Type& type, const Json& json, const std::string& at, void* into) {
    switch (type.shape) {
      case Shape::text:
        if (!json.is_string()) return expected(at, "a text", json);
        detail::as<std::string>(into) = json.get_ref<const std::string&>();
        return true;
      case Shape::number:
        if (!json.is_number()) return expected(at, "a number", json);
        detail::as<double>(into) = json.get<double>();
        return true;
      case Shape::yes_no:
        if (!json.is_boolean()) return expected(at, "true or false", json);
        detail::as<bool>(into) = json.get<bool>();
        return true;
      case Shape::whole:
        return whole(type, json, at, into);
      case Shape::word:
        if (json.is_string() && type.set_word(into, json.get_ref<const std::string&>()))
          return true;
        return expected(at, "one of: " + listed(type.words), json);
      case Shape::numbers:
        return numbers(type, json, at, into);
      case Shape::flags:
        return flags(json, at, into);
      case Shape::list:
        return list(type, json, at, into);
      case Shape::named:
        return named(type, json, at, into);
      case Shape::maybe:
        type.clear(into);
        return json.is_null() || read(*type.item, json, at, type.hold(into));
      case Shape::row:
        return row(type, json, at, into);
      case Shape::record:
        break;
    }
    return record(type, json, at, into);
  }

 private:
  bool wrong(const std::string& at, const std::string& what) {
    where = at.empty() ? "/" : at;
    fault = what;
    return false;
  }
  bool expected(const std::string& at, const std::string& what, const Json& json) {
    return wrong(at, "expected " + what + ", found " + found(json));
  }

  bool whole(const Type& type, const Json& json, const std::string& at, void* into) {
    if (!json.is_number_integer()) return expected(at, "a whole number", json);
    Whole read{json.get<std::uint64_t>(), false};
    if (!json.is_number_unsigned() && json.get<std::int64_t>() < 0)
      read = {0 - static_cast<std::uint64_t>(json.get<std::int64_t>()), true};
    return type.set_whole(into, read) || expected(at, "a whole number in its range", json);
  }

  bool numbers(const Type& type, const Json& json, const std::string& at, void* into) {
    const std::string what =
        type.count == 0 ? "a list of numbers" : std::to_string(type.count) + " numbers";
    if (!json.is_array() || (type.count != 0 && json.size() != type.count))
      return expected(at, what, json);
    std::vector<double> read;
    for (std::size_t i = 0; i < json.size(); ++i) {
      if (!json[i].is_number()) return expected(at + "/" + std::to_string(i), "a number", json[i]);
      read.push_back(json[i].get<double>());
    }
    const std::string said = type.set_numbers(into, read);
    return said.empty() || wrong(at, said);
  }

  bool flags(const Json& json, const std::string& at, void* into) {
    if (!json.is_array()) return expected(at, "a list of true and false", json);
    auto& all = detail::as<std::vector<bool>>(into);
    all.clear();
    for (std::size_t i = 0; i < json.size(); ++i) {
      if (!json[i].is_boolean())
        return expected(at + "/" + std::to_string(i), "true or false", json[i]);
      all.push_back(json[i].get<bool>());
    }
    return true;
  }

  bool list(const Type& type, const Json& json, const std::string& at, void* into) {
    if (!json.is_array()) return expected(at, "a list", json);
    type.clear(into);
    for (std::size_t i = 0; i < json.size(); ++i)
      if (!read(*type.item, json[i], at + "/" + std::to_string(i), type.add(into))) return false;
    return true;
  }

  bool named(const Type& type, const Json& json, const std::string& at, void* into) {
    if (!json.is_object()) return expected(at, "an object", json);
    type.clear(into);
    for (const auto& [key, value] : json.items())
      if (!read(*type.item, value, at + "/" + in_pointer(key), type.add_named(into, key)))
        return false;
    return true;
  }

  bool row(const Type& type, const Json& json, const std::string& at, void* into) {
    if (!json.is_array() || json.size() != type.fields.size())
      return expected(at, "a list of " + std::to_string(type.fields.size()), json);
    for (std::size_t i = 0; i < json.size(); ++i)
      if (!read(*type.fields[i].type, json[i], at + "/" + std::to_string(i),
                type.fields[i].in(into)))
        return false;
    return true;
  }

  /// The head of a document, and which version the fields below it are of.
  bool head(const Type& type, const Json& json, const std::string& at) {
    const auto schema = json.find("schema"), version = json.find("version");
    const std::string ours = "mendtone." + type.schema;
    if (schema == json.end()) return wrong(at + "/schema", "expected '" + ours + "', found nothing");
    if (!schema->is_string() || schema->get_ref<const std::string&>() != ours)
      return expected(at + "/schema", "'" + ours + "'", *schema);
    if (version == json.end() || !version->is_number_integer() || version->get<double>() < 1)
      return wrong(at + "/version", "expected a whole number of at least 1, found " +
                                        (version == json.end() ? "nothing" : found(*version)));
    if (version->get<double>() > type.version)
      return wrong(at + "/version",
                   "expected at most " + std::to_string(type.version) + ", found " +
                       found(*version) + ": a newer program wrote it; read it with that program");
    version_ = version->get<int>();
    return true;
  }

  bool record(const Type& type, const Json& json, const std::string& at, void* into) {
    if (type.from_text && version_ == 1 && json.is_string())
      return type.from_text(into, json.get_ref<const std::string&>()) ||
             expected(at, "a text that version 1 had here", json);
    if (!json.is_object()) return expected(at, "an object", json);
    const int outer = version_;
    if (!type.schema.empty() && reading_ == Reading::document && !head(type, json, at))
      return false;
    std::size_t known = type.schema.empty() ? 0 : json.count("schema") + json.count("version") + json.count("method");
    std::vector<const Field*> absent;
    for (const Field& field : type.fields) {
      if (field.says.only_typed || field.says.among) continue;
      auto it = json.find(field.key);
      if (it == json.end() && version_ == 1 && !field.says.was.empty())
        it = json.find(std::string(field.says.was));
      if (it == json.end()) {
        absent.push_back(&field);
        continue;
      }
      ++known;
      if (it->is_null() && field.says.blank == Blank::null) continue;
      if (!read(*field.type, *it, at + "/" + in_pointer(it.key()), field.in(into))) return false;
    }
    if (known < json.size() && !put_among(type, json, at, into) && !strangers(type, json, at))
      return false;
    if (!fault.empty()) return false;
    // Last, so that a field that is written wrong is said before its right name is missed.
    for (const Field* field : absent)
      if (!missing(*field, at)) return false;
    version_ = outer;
    if (!type.settle) return true;
    const std::string said = type.settle(into);
    return said.empty() || wrong(at, said);
  }

  bool missing(const Field& field, const std::string& at) {
    const bool must = reading_ == Reading::document
                          ? field.says.since <= version_ && field.says.blank != Blank::left_out
                          : field.says.required;
    return !must || wrong(at + "/" + in_pointer(field.key), "is missing");
  }

  static bool is_field(const Type& type, const std::string& key) {
    return std::any_of(type.fields.begin(), type.fields.end(), [&](const Field& field) {
      return field.key == key && !field.says.only_typed && !field.says.among;
    });
  }

  /// False: this record has no field for what is not one of its own.
  bool put_among(const Type& type, const Json& json, const std::string& at, void* into) {
    for (const Field& field : type.fields) {
      if (!field.says.among) continue;
      field.type->clear(field.in(into));
      for (const auto& [key, value] : json.items())
        if (!is_field(type, key) &&
            !read(*field.type->item, value, at + "/" + in_pointer(key),
                  field.type->add_named(field.in(into), key)))
          break;
      return true;
    }
    return false;
  }

  /// Version 1 had fields that later ones do not have; what is asked now has none.
  bool strangers(const Type& type, const Json& json, const std::string& at) {
    if (reading_ == Reading::kept || type.open) return true;
    if (reading_ == Reading::document && version_ < 2) return true;
    for (const auto& [key, value] : json.items()) {
      const bool ours =
          is_field(type, key) ||
          (!type.schema.empty() && (key == "schema" || key == "version" || key == "method"));
      if (!ours) return wrong(at + "/" + in_pointer(key), "this field is not known");
    }
    return true;
  }

  Reading reading_;
  int version_;
};

}  // namespace

Result<void> from_value(const Type& type, const Json& json, const std::string& name,
                        Reading reading, void* into) {
  // What is asked now is never of an older version.
  Reader reader(reading, reading == Reading::question ? std::numeric_limits<int>::max() : 1);
  if (reader.read(type, json, "", into)) return {};
  return bad_input(reader.fault, name.empty() ? reader.where : name + " " + reader.where);
}

Result<void> from_json(const Type& type, std::string_view text, const std::string& name,
                       Reading reading, void* into) {
  const auto json = json_from<Json>(text, name);
  if (!json) return json.error();
  return from_value(type, *json, name, reading, into);
}

Result<Head> head_of(std::string_view text, const std::string& name) {
  const auto json = json_from<Json>(text, name);
  if (!json) return json.error();
  const std::string said = json_text(json_member(*json, "schema")).value_or("");
  const std::string ours = "mendtone.";
  if (said.rfind(ours, 0) != 0)
    return bad_input("expected an answer of this program, with its \"schema\"; found " +
                         (said.empty() ? std::string("none") : "'" + said + "'"),
                     name);
  const auto number = [&](const char* key) {
    return static_cast<int>(json_whole(json_member(*json, key), 1, 1 << 20).value_or(1));
  };
  return Head{said.substr(ours.size()), number("version"), number("method")};
}

}  // namespace mendtone::results
