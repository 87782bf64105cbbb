#include "mendtone/results/options.hpp"

#include <algorithm>
#include <functional>

#include "mendtone/base/numbers.hpp"

namespace mendtone::results {
namespace {

std::vector<std::string> parted(const std::string& text, char at) {
  std::vector<std::string> parts;
  std::size_t from = 0;
  while (from <= text.size()) {
    const std::size_t to = std::min(text.find(at, from), text.size());
    parts.push_back(text.substr(from, to - from));
    from = to + 1;
  }
  return parts;
}

std::string number_taken(const Says& says, bool whole) {
  const std::string kind = whole ? "a whole number" : "a number";
  if (says.least && says.most)
    return kind + " from " + shortest(*says.least) + (says.below_most ? " to below " : " to ") +
           shortest(*says.most);
  if (says.least) return kind + (says.above_least ? " above " : " of at least ") + shortest(*says.least);
  return kind;
}

/// What a field takes, as help says it; empty: any text.
std::string taken(const Type& type, const Says& says) {
  if (!says.one_of.empty()) {
    std::string words(says.one_of);
    std::replace(words.begin(), words.end(), '|', ',');
    return "{" + words + "}";
  }
  if (type.shape == Shape::maybe || type.shape == Shape::list) return taken(*type.item, says);
  if (type.shape == Shape::number || type.shape == Shape::numbers) return number_taken(says, false);
  if (type.shape == Shape::whole) return number_taken(says, true);
  if (type.shape == Shape::named || type.shape == Shape::row) return "NAME=VALUE";
  if (type.shape != Shape::word) return {};
  std::string words;
  for (const std::string_view word : type.words)
    if (!word.empty()) words += (words.empty() ? "" : ",") + std::string(word);
  return "{" + words + "}";
}

bool in_bounds(double number, const Says& says) {
  if (says.least && (says.above_least ? number <= *says.least : number < *says.least)) return false;
  return !says.most || (says.below_most ? number < *says.most : number <= *says.most);
}

bool one_of(const std::string& text, std::string_view words) {
  if (words.empty()) return true;
  const auto all = parted(std::string(words), '|');
  return std::find(all.begin(), all.end(), text) != all.end();
}

/// False: it does not take this text.
bool put_one(const Type& type, const Says& says, const std::string& text, void* into);

bool put_whole(const Type& type, const Says& says, const std::string& text, void* into) {
  const auto number = parse_number(text);
  if (!number || *number != std::floor(*number) || std::abs(*number) > 9007199254740992.0 ||
      !in_bounds(*number, says) || !one_of(text, says.one_of))
    return false;
  return type.set_whole(into, {static_cast<std::uint64_t>(std::abs(*number)), *number < 0});
}

bool put_numbers(const Type& type, const Says& says, const std::string& text, void* into) {
  std::vector<double> numbers;
  for (const std::string& part : parted(text, says.parted)) {
    const auto number = parse_number(part);
    if (!number || !in_bounds(*number, says)) return false;
    numbers.push_back(*number);
  }
  return (type.count == 0 || numbers.size() == type.count) &&
         type.set_numbers(into, numbers).empty();
}

/// NAME=VALUE; where the value is a number, the name may be left out and means all.
bool put_pair(const Type& name, const Type& value, const Says& says, const std::string& text,
              void* into_name, void* into_value) {
  const std::size_t equals = text.find('=');
  const bool number = value.shape == Shape::number;
  if (equals == std::string::npos)
    return number && put_one(name, {}, "", into_name) && put_one(value, says, text, into_value);
  return equals > 0 && equals + 1 < text.size() &&
         put_one(name, {}, text.substr(0, equals), into_name) &&
         put_one(value, says, text.substr(equals + 1), into_value);
}

bool put_one(const Type& type, const Says& says, const std::string& text, void* into) {
  switch (type.shape) {
    case Shape::text:
      detail::as<std::string>(into) = text;
      return one_of(text, says.one_of);
    case Shape::number: {
      const auto number = parse_number(text);
      if (!number || !in_bounds(*number, says)) return false;
      detail::as<double>(into) = *number / says.per;
      return true;
    }
    case Shape::whole:
      return put_whole(type, says, text, into);
    case Shape::yes_no:
      detail::as<bool>(into) = true;
      return true;
    case Shape::word:
      return !text.empty() && type.set_word(into, text);
    case Shape::numbers:
      return put_numbers(type, says, text, into);
    case Shape::maybe:
      return put_one(*type.item, says, text, type.hold(into));
    case Shape::list:
      return put_one(*type.item, says, text, type.add(into));
    case Shape::row:
      return put_pair(*type.fields[0].type, *type.fields[1].type, says, text,
                      type.fields[0].in(into), type.fields[1].in(into));
    case Shape::named: {
      const std::size_t equals = text.find('=');
      return equals != std::string::npos && equals > 0 &&
             put_one(*type.item, says, text.substr(equals + 1),
                     type.add_named(into, text.substr(0, equals)));
    }
    case Shape::flags:
    case Shape::record:
      break;
  }
  return false;
}

bool repeats(const Type& type) {
  return type.shape == Shape::list || type.shape == Shape::named;
}

/// One or several fields that one option fills.
struct Target {
  std::vector<Field> fields;  ///< their offsets are those from the request
  Says says;
};

std::string what_is_taken(const Target& target) {
  const std::string one = taken(*target.fields.front().type, target.says);
  if (target.fields.size() == 1) return one;
  std::string names;
  for (const Field& field : target.fields)
    names += (names.empty() ? std::string() : std::string(1, target.says.parted)) + field.key;
  return names;
}

Result<void> put_all(const Target& target, const std::string& name, void* request,
                     const std::vector<std::string>& texts) {
  const Type& type = *target.fields.front().type;
  void* into = target.fields.front().in(request);
  if (repeats(type)) type.clear(into);
  for (const std::string& text : texts.empty() ? std::vector<std::string>{""} : texts) {
    std::vector<std::string> parts{text};
    if (target.fields.size() > 1) parts = parted(text, target.says.parted);
    // "2" means "2-2".
    if (target.says.parted == '-' && parts.size() == 1) parts.resize(target.fields.size(), text);
    bool sound = parts.size() == target.fields.size();
    for (std::size_t i = 0; sound && i < parts.size(); ++i)
      sound = put_one(*target.fields[i].type, target.says, parts[i], target.fields[i].in(request));
    if (!sound) {
      const std::string takes = what_is_taken(target);
      return bad_request("expected " + (takes.empty() ? std::string("a text") : takes) +
                             ", found '" + text + "'",
                         name);
    }
  }
  return {};
}

/// The default as it stands in a fresh request; empty where there is none to show.
std::string shown_default(const Target& target, const void* request) {
  const Field& field = target.fields.front();
  const void* value = field.in(request);
  const Type& type = *field.type;
  if (type.shape == Shape::number) return shortest(detail::as<double>(value) * target.says.per);
  if (type.shape == Shape::whole) {
    std::string text;
    for (const Field& one : target.fields) {
      const Whole whole = one.type->whole(one.in(request));
      text += (text.empty() ? std::string() : std::string(1, target.says.parted)) +
              (whole.negative ? "-" : "") + std::to_string(whole.magnitude);
    }
    return target.fields.size() > 1 && target.says.parted == ',' ? std::string() : text;
  }
  if (type.shape == Shape::word) return std::string(type.word(value));
  if (type.shape == Shape::text) return detail::as<std::string>(value);
  return {};
}

class Collect {
 public:
  explicit Collect(const Type& request) : fresh_(fresh(request)) {}

  std::vector<Option> all;

  void walk(const Type& type, std::size_t offset) {
    for (std::size_t i = 0; i < type.fields.size(); ++i) {
      const Field& field = type.fields[i];
      const bool inner = field.type->shape == Shape::record;
      if (!field.says.option.empty()) add(type, i, offset);
      if (inner) walk(*field.type, offset + field.offset);
    }
  }

 private:
  void add(const Type& type, std::size_t i, std::size_t offset) {
    Target target{{}, type.fields[i].says};
    for (int k = 0; k < target.says.spans; ++k) {
      Field field = type.fields[i + static_cast<std::size_t>(k)];
      field.offset += offset;
      // The option of a record fills what it begins with: the files of sources.
      if (field.type->shape == Shape::record) {
        Field first = field.type->fields.front();
        first.offset += field.offset;
        field = first;
      }
      target.fields.push_back(field);
    }
    const std::string name(target.says.option);
    const auto put = [target, name](void* request, const std::vector<std::string>& texts) {
      return put_all(target, name, request, texts);
    };
    const auto known = std::find_if(all.begin(), all.end(),
                                    [&](const Option& option) { return option.name == name; });
    if (known != all.end()) {
      known->put = [first = known->put, put](void* request, const std::vector<std::string>& texts) {
        auto done = first(request, texts);
        return done ? put(request, texts) : done;
      };
      return;
    }
    const Type& takes = *target.fields.front().type;
    all.push_back({name, std::string(target.says.help), what_is_taken(target),
                   shown_default(target, fresh_.data.get()), target.says.required,
                   takes.shape == Shape::yes_no, repeats(takes), target.says.greedy,
                   !target.says.writes.empty(), std::string(target.says.alone), put});
  }

  Value fresh_;
};

/// "*-de00.@maps_ending" of a text, the other fields being those of `record`.
std::string file_of(const std::string& pattern, const std::string& text, const Type& type,
                    const void* record) {
  std::string path = pattern;
  if (const auto at = path.find('@'); at != std::string::npos)
    for (const Field& field : type.fields)
      if (field.key == path.substr(at + 1))
        path.replace(at, std::string::npos, detail::as<std::string>(field.in(record)));
  return path.replace(path.find('*'), 1, text);
}

/// Visits every text in a value; `says` is that of the field in which it stands.
void each_text(const Type& type, const void* value, const Says& says,
               const std::function<void(const std::string&, const Says&)>& visit) {
  switch (type.shape) {
    case Shape::text:
      visit(detail::as<std::string>(value), says);
      break;
    case Shape::maybe:
      if (const void* held = type.held(value)) each_text(*type.item, held, says, visit);
      break;
    case Shape::list:
      for (std::size_t i = 0; i < type.size(value); ++i)
        each_text(*type.item, type.at(value, i), says, visit);
      break;
    case Shape::record:
    case Shape::row:
      for (const Field& field : type.fields)
        each_text(*field.type, field.in(value), field.says, visit);
      break;
    default:
      break;
  }
}

void add_files(const Type& type, const void* value, std::vector<FileToWrite>& files) {
  for (const Field& field : type.fields) {
    if (field.type->shape == Shape::record) add_files(*field.type, field.in(value), files);
    if (field.says.writes.empty()) continue;
    const auto& text = detail::as<std::string>(field.in(value));
    if (text.empty()) continue;
    for (const std::string& pattern : parted(std::string(field.says.writes), '|'))
      files.push_back({std::string(field.says.option), file_of(pattern, text, type, value)});
  }
}

}  // namespace

std::vector<FileToWrite> files_to_write(const Type& request, const void* value) {
  std::vector<FileToWrite> files;
  add_files(request, value, files);
  return files;
}

std::vector<std::string> texts_read(const Type& request, const void* value) {
  std::vector<std::string> texts;
  each_text(request, value, {}, [&](const std::string& text, const Says& says) {
    if (says.writes.empty() && !text.empty()) texts.push_back(text);
  });
  return texts;
}

std::vector<Option> options_of(const Type& request) {
  Collect collect(request);
  collect.walk(request, 0);
  return std::move(collect.all);
}

}  // namespace mendtone::results
