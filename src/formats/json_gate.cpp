#include "formats/json_gate.hpp"

#include <algorithm>
#include <cassert>
#include <vector>

#include "formats/text.hpp"

namespace mendtone {
namespace {

// What a value, a list or object, and a text take in memory, in round figures of a 64-bit machine.
constexpr std::size_t value_bytes = 16, holder_bytes = 48, text_bytes = 48;

std::string json_place(std::string_view name, std::string_view text, std::size_t at) {
  const std::string_view before = text.substr(0, std::min(at, text.size()));
  const auto line = 1 + static_cast<std::size_t>(std::count(before.begin(), before.end(), '\n'));
  const auto start = before.rfind('\n');
  const std::size_t column = before.size() - (start == std::string_view::npos ? 0 : start + 1) + 1;
  if (name.empty()) return "line " + std::to_string(line) + ", column " + std::to_string(column);
  return formats::place(name, line, column);
}

/// Walks the text once, without parsing it, and adds up what it would become. Up to the first fault
/// of the text, where any parser stops, its strings and brackets are seen as a parser sees them.
class JsonMeasure {
 public:
  JsonMeasure(std::string_view text, std::string_view name, const JsonLimits& limits)
      : text_(text), name_(name), limits_(limits) {}

  Result<void> check() {
    if (text_.size() > limits_.bytes)
      return bad_input("this JSON is " + std::to_string(text_.size()) + " bytes long; at most " +
                           std::to_string(limits_.bytes) + " are taken",
                       std::string(name_));
    for (std::size_t i = 0; i < text_.size(); ++i) {
      if (text_[i] == '"')
        i = behind_string(i);
      else if (!count(text_[i]))
        return refused(i);
      if (memory_ > limits_.memory) return refused(i);
    }
    return {};
  }

 private:
  std::size_t behind_string(std::size_t i) {
    const std::size_t start = i;
    for (++i; i < text_.size() && text_[i] != '"'; ++i)
      if (text_[i] == '\\') ++i;
    memory_ += text_bytes + std::min(i, text_.size()) - start;
    return i;
  }

  /// False where the depth or the number of names is beyond its limit.
  bool count(char c) {
    switch (c) {
      case '{':
      case '[':
        memory_ += holder_bytes + value_bytes;
        names_.push_back(0);
        return names_.size() <= limits_.depth;
      case '}':
      case ']':
        if (!names_.empty()) names_.pop_back();
        return true;
      case ':':
        return names_.empty() || ++names_.back() <= limits_.names;
      case ',':
        memory_ += value_bytes;
        return true;
      default:
        return true;
    }
  }

  Error refused(std::size_t at) const {
    std::string what;
    if (names_.size() > limits_.depth)
      what = "this JSON is nested more than " + std::to_string(limits_.depth) + " levels deep";
    else if (memory_ > limits_.memory)
      what = "this JSON holds more values than are taken: they would need more than " +
             std::to_string(limits_.memory >> 20) + " MB of memory";
    else
      what = "this JSON object has more than " + std::to_string(limits_.names) + " names";
    return bad_input(what, json_place(name_, text_, at));
  }

  std::string_view text_, name_;
  const JsonLimits& limits_;
  std::size_t memory_ = 0;
  std::vector<std::size_t> names_;  ///< of each object that is open
};

/// Puts the parser's events together; stops at a name that an object has already.
template <class Json>
class JsonBuilder {
 public:
  Json root;
  std::string twice;  ///< the name
  std::size_t fault_at = 0;
  std::string found, fault;

  bool null() { return put(nullptr); }
  bool boolean(bool value) { return put(value); }
  bool number_integer(typename Json::number_integer_t value) { return put(value); }
  bool number_unsigned(typename Json::number_unsigned_t value) { return put(value); }
  bool number_float(typename Json::number_float_t value, const std::string&) { return put(value); }
  bool string(std::string& value) { return put(std::move(value)); }
  bool binary(typename Json::binary_t&) { return false; }  // no JSON text holds any
  bool start_object(std::size_t) { return open(Json::object()); }
  bool start_array(std::size_t) { return open(Json::array()); }
  bool end_object() { return close(); }
  bool end_array() { return close(); }
  bool key(std::string& name) {
    auto& members = holders_.back()->template get_ref<typename Json::object_t&>();
    const auto [at, fresh] = members.emplace(name, Json());
    if (!fresh) twice = name;
    slot_ = &at->second;
    return fresh;
  }
  /// Of the object that is open: "/lights/0".
  std::string pointer() const {
    std::string text;
    for (std::size_t i = 0; i + 1 < holders_.size(); ++i) text += '/' + step_to(i + 1);
    return text;
  }
  bool parse_error(std::size_t at, const std::string& last, const nlohmann::json::exception& why) {
    fault_at = at;
    found = last;
    fault = why.what();
    return false;
  }

 private:
  /// The name or number of holder `i` in the one around it.
  std::string step_to(std::size_t i) const {
    if (holders_[i - 1]->is_array()) return std::to_string(holders_[i - 1]->size() - 1);
    for (const auto& [name, value] : holders_[i - 1]->items())
      if (&value == holders_[i]) return name;
    return {};
  }
  Json* place(Json&& value) {
    if (holders_.empty()) {
      root = std::move(value);
      return &root;
    }
    if (holders_.back()->is_array()) {
      auto& items = holders_.back()->template get_ref<typename Json::array_t&>();
      items.push_back(std::move(value));
      return &items.back();
    }
    *slot_ = std::move(value);
    return slot_;
  }
  bool put(Json&& value) {
    place(std::move(value));
    return true;
  }
  bool open(Json&& holder) {
    holders_.push_back(place(std::move(holder)));
    return true;
  }
  bool close() {
    holders_.pop_back();
    return true;
  }

  // What holds them does not grow while they are open, so they stay where they are.
  std::vector<Json*> holders_;
  Json* slot_ = nullptr;
};

/// "'}'" of "… unexpected number literal; expected '}'"; the library says no more for some faults.
std::string expected_in(const std::string& fault) {
  constexpr std::string_view word = "expected ";
  const auto at = fault.rfind(word);
  const bool plain = at != std::string::npos && (at < 2 || fault.substr(at - 2, 2) != "un");
  return plain ? fault.substr(at + word.size()) : std::string("valid JSON");
}

std::string with_pointer(std::string_view name, const std::string& pointer) {
  if (name.empty() || pointer.empty()) return std::string(name) + pointer;
  return std::string(name) + ", " + pointer;
}

template <class Json>
Error not_json(const JsonBuilder<Json>& built, std::string_view text, std::string_view name) {
  if (!built.twice.empty())
    return bad_input("expected each name once in a JSON object, found " +
                         formats::quoted(built.twice) + " twice",
                     with_pointer(name, built.pointer()));
  if (built.fault.find("out_of_range") != std::string::npos)
    return bad_input("expected a number below 1.8e308, found " + formats::quoted(built.found),
                     json_place(name, text, built.fault_at > 0 ? built.fault_at - 1 : 0));
  const std::size_t at = built.fault_at > 0 ? built.fault_at - 1 : 0;
  const std::string found =
      at >= text.size() ? std::string("the end of the text") : formats::quoted(built.found);
  return bad_input("this is not JSON: expected " + expected_in(built.fault) + ", found " + found,
                   json_place(name, text, at));
}

}  // namespace

template <class Json>
Result<Json> json_from(std::string_view text, std::string_view name, const JsonLimits& limits) {
  if (auto sound = JsonMeasure(text, name, limits).check(); !sound) return sound.error();
  JsonBuilder<Json> built;
  if (!Json::sax_parse(text.begin(), text.end(), &built)) return not_json(built, text, name);
  return std::move(built.root);
}

nlohmann::ordered_json json_of_ours(std::string_view text) {
  JsonLimits limits;
  limits.bytes = limits.memory = limits.names = std::numeric_limits<std::size_t>::max();
  auto json = json_from(text, {}, limits);
  assert(json);
  return json ? *std::move(json) : nlohmann::ordered_json();
}

template Result<nlohmann::ordered_json> json_from(std::string_view, std::string_view,
                                                  const JsonLimits&);
template Result<nlohmann::json> json_from(std::string_view, std::string_view, const JsonLimits&);

}  // namespace mendtone
