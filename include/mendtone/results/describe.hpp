#pragma once
#include <array>
#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <type_traits>
#include <utility>
#include <vector>

// One description of every request and answer: `fields(Describe&, T&)` lists the fields of T once.
// From it a table is made (`type_of<T>()`), and every walker (JSON out and in, CSV, command line,
// JSON Schema, TypeScript) is ordinary code that reads that table; none is a template.

namespace mendtone::results {

/// What stands in JSON for a field that holds nothing.
enum class Blank {
  written,  ///< "", [], {}; null for a number that is not known
  null,     ///< null
  left_out  ///< the field is not there
};

/// What is said of a field beside its name.
struct Says {
  std::string_view help = {};
  std::string_view unit = {};
  Blank blank = Blank::written;
  bool prose = false;               ///< sentences; not compared when a result is computed again
  int since = 1;                    ///< the version of its document that first had it
  std::string_view was = {};        ///< its name in version 1
  std::string_view option = {};     ///< on the command line: "--over", or "FILE" where it has no dashes
  bool required = false;            ///< a request without it is refused
  bool greedy = false;              ///< the option takes several texts at a time
  std::string_view one_of = {};     ///< of a whole number or a text: what is taken, parted by '|'
  std::optional<double> least = {};  ///< the lowest number that is taken
  bool above_least = false;          ///< … and not `least` itself
  std::optional<double> most = {};
  bool below_most = false;  ///< … and not `most` itself
  double per = 1;           ///< what is typed is this many times the field: 100 for per cent
  std::string_view alone = {};  ///< what the option means where nothing stands behind it
  /// Where to write, or how to go about it: on the command line, never in JSON or the record.
  bool only_typed = false;
  /// Of a text that names what is written: the files, parted by '|', '*' standing for the text and
  /// '@' for the field of that name behind it ("*-de00.@maps_ending").
  std::string_view writes = {};
  bool only_read = false;  ///< a field of version 1: read, never written
  /// The named items stand among the fields of the record that this one is in.
  bool among = false;
  /// On the command line, one option fills this field and the next ones: "1,-0.5" or "1-4".
  int spans = 1;
  char parted = ',';
};

enum class Shape {
  text,     ///< std::string
  number,   ///< double
  whole,    ///< any integer
  yes_no,   ///< bool
  word,     ///< an enumeration
  numbers,  ///< doubles in a row: a colour, a spectrum
  flags,    ///< std::vector<bool>
  list,     ///< a JSON array
  named,    ///< a JSON object whose keys are data
  maybe,    ///< std::optional
  record,   ///< a JSON object whose keys are fields
  row       ///< a JSON array whose places are fields
};

struct Type;

struct Field {
  std::string key;
  Says says;
  std::size_t offset = 0;
  const Type* type = nullptr;

  const void* in(const void* record) const { return static_cast<const char*>(record) + offset; }
  void* in(void* record) const { return static_cast<char*>(record) + offset; }
};

/// An integer of any width.
struct Whole {
  std::uint64_t magnitude = 0;
  bool negative = false;
};

/// One column of the CSV: where its cell is found from a row. "lab/0" is the first number of `lab`,
/// "../number" a field of what the row stands in, "@name" the name and "@place" the place (from 1)
/// of the row itself. A level of rows that ends with "[]" walks a list of numbers, and "@index" is
/// the same place in another one. "*nm" as a heading is one column for each number of `nm` of the
/// first row, and "*" in its pointer the number at that place.
struct Column {
  std::string_view heading, pointer;
};

/// The CSV of an answer: one row for each item of `rows` ("recipes/loads": each load of each recipe).
struct Table {
  std::string_view rows;
  std::vector<Column> columns;
};

struct Type {
  Shape shape = Shape::record;
  std::string name;                     ///< of a record or a word: "Tone"
  std::vector<Field> fields;            ///< record, row
  const Type* item = nullptr;           ///< list, named, maybe
  std::vector<std::string_view> words;  ///< word
  std::size_t count = 0;                ///< numbers: how many; 0: any number of them

  // Of a whole document.
  std::string schema;  ///< "tone": the document begins with "schema": "mendtone.tone"
  int version = 1;
  bool open = false;  ///< fields that are not known are passed over
  /// Of an answer that is computed: which version of its method, and what each one changed from the
  /// one before. 0: it is not computed.
  int method = 0;
  std::vector<std::string_view> method_changes;
  Table table;

  // How a value of this type is looked at and filled. Only those of its shape are set.
  Whole (*whole)(const void*) = nullptr;
  bool (*set_whole)(void*, Whole) = nullptr;
  std::string_view (*word)(const void*) = nullptr;
  bool (*set_word)(void*, std::string_view) = nullptr;
  std::vector<double> (*numbers)(const void*) = nullptr;
  /// What is wrong with them, or empty.
  std::string (*set_numbers)(void*, const std::vector<double>&) = nullptr;
  std::size_t (*size)(const void*) = nullptr;
  const void* (*at)(const void*, std::size_t) = nullptr;
  void* (*add)(void*) = nullptr;
  void (*clear)(void*) = nullptr;
  void (*each)(const void*, const std::function<void(const std::string&, const void*)>&) = nullptr;
  void* (*add_named)(void*, const std::string&) = nullptr;
  const void* (*held)(const void*) = nullptr;  ///< nullptr: nothing is held
  void* (*hold)(void*) = nullptr;
  /// Looks at a record that was just read as a whole; what is wrong, or empty.
  std::string (*settle)(void*) = nullptr;
  /// Nothing stands in this record; nullptr: something always does.
  bool (*blank)(const void*) = nullptr;
  /// Takes the text that version 1 had in the place of this record.
  bool (*from_text)(void*, std::string_view) = nullptr;
  std::shared_ptr<void> (*make)() = nullptr;  ///< a fresh one
};

template <class T>
const Type& type_of();

/// Of a type that is written as numbers in a row: `count`, `get` and `set` (see Type::set_numbers).
template <class T>
struct Numbers;

template <class T>
concept InNumbers = requires { Numbers<T>::count; };

/// Collects the fields of one type.
class Describe {
 public:
  Describe(Type& type, const void* prototype)
      : type_(type), base_(static_cast<const char*>(prototype)) {}

  template <class T>
  void operator()(std::string_view key, T& member, const Says& says) {
    put(key, &member, type_of<std::remove_const_t<T>>(), says);
  }

  /// A list that is a JSON object: each item stands under its own `name`.
  template <auto name, class T>
  void by_name(std::string_view key, std::vector<T>& member, const Says& says);
  /// The same where nothing but `value` stands beside the name.
  template <auto name, auto value, class T>
  void by_name(std::string_view key, std::vector<T>& member, const Says& says);

  /// An object of JSON alone: its fields are members of this very type.
  template <class List>
  void group(std::string_view key, const Says& says, List list) {
    Type& inner = kept();
    inner.shape = Shape::record;
    Describe describe(inner, base_);
    list(describe);
    type_.fields.push_back({std::string(key), says, 0, &inner});
  }

  /// A record whose fields are listed here, not by its own `fields`.
  template <class T, class List>
  void group_at(std::string_view key, T& member, const Says& says, List list) {
    Type& inner = kept();
    Describe describe(inner, &member);
    list(describe, member);
    put(key, &member, inner, says);
  }

  /// This type is a whole document.
  void document(std::string_view schema, int version) {
    type_.schema = schema;
    type_.version = version;
  }
  /// Of an answer that is kept and computed again: what its method changed since version 1, one
  /// sentence each. Add one whenever the same request may give other figures than before.
  void method(std::vector<std::string_view> changes) {
    type_.method = 1 + static_cast<int>(changes.size());
    type_.method_changes = std::move(changes);
  }
  void table(std::string_view rows, std::vector<Column> columns) {
    type_.table = {rows, std::move(columns)};
  }
  void name(std::string_view text) { type_.name = text; }
  void settle(std::string (*look)(void*)) { type_.settle = look; }
  /// What it does not know stands beside its fields and is passed over.
  void open() { type_.open = true; }
  void blank(bool (*is)(const void*)) { type_.blank = is; }
  void from_text(bool (*from)(void*, std::string_view)) { type_.from_text = from; }

 private:
  /// A type that lives as long as the program.
  static Type& kept();
  void put(std::string_view key, const void* member, const Type& type, const Says& says) {
    const auto offset = static_cast<std::size_t>(static_cast<const char*>(member) - base_);
    type_.fields.push_back({std::string(key), says, offset, &type});
  }

  Type& type_;
  const char* base_;
};

namespace detail {

template <class T>
T& as(void* value) {
  return *static_cast<T*>(value);
}
template <class T>
const T& as(const void* value) {
  return *static_cast<const T*>(value);
}

template <class T>
inline constexpr bool is_list = false;
template <class T>
inline constexpr bool is_list<std::vector<T>> = true;
template <class T>
inline constexpr bool is_named = false;
template <class T>
inline constexpr bool is_named<std::map<std::string, T>> = true;
template <class T>
inline constexpr bool is_maybe = false;
template <class T>
inline constexpr bool is_maybe<std::optional<T>> = true;
template <class T>
inline constexpr bool is_pair = false;
template <class A, class B>
inline constexpr bool is_pair<std::pair<A, B>> = true;
template <class T>
inline constexpr std::size_t array_size = 0;
template <std::size_t N>
inline constexpr std::size_t array_size<std::array<double, N>> = N;

template <class T>
void whole(Type& type) {
  type.shape = Shape::whole;
  type.whole = [](const void* v) {
    const T value = as<T>(v);
    if constexpr (std::is_signed_v<T>)
      if (value < 0) return Whole{0 - static_cast<std::uint64_t>(value), true};
    return Whole{static_cast<std::uint64_t>(value), false};
  };
  type.set_whole = [](void* v, Whole read) {
    const T value = static_cast<T>(read.negative ? 0 - read.magnitude : read.magnitude);
    as<T>(v) = value;
    if constexpr (std::is_signed_v<T>)
      if (read.negative) return value < 0 && 0 - static_cast<std::uint64_t>(value) == read.magnitude;
    return !(read.negative && read.magnitude > 0) && !(value < T{}) &&
           static_cast<std::uint64_t>(value) == read.magnitude;
  };
}

/// `every(E)` lists an enumeration, `name_of(E)` is its word; both are found beside it.
template <class E>
void word(Type& type) {
  type.shape = Shape::word;
  for (const E one : every(E{})) type.words.push_back(name_of(one));
  type.word = [](const void* v) -> std::string_view { return name_of(as<E>(v)); };
  type.set_word = [](void* v, std::string_view text) {
    for (const E one : every(E{}))
      if (name_of(one) == text) {
        as<E>(v) = one;
        return true;
      }
    return false;
  };
}

template <class T>
void numbers(Type& type) {
  type.shape = Shape::numbers;
  if constexpr (std::is_same_v<T, std::vector<double>>) {
    type.numbers = [](const void* v) { return as<T>(v); };
    type.set_numbers = [](void* v, const std::vector<double>& read) {
      as<T>(v) = read;
      return std::string();
    };
  } else if constexpr (array_size<T> > 0) {
    type.count = array_size<T>;
    type.numbers = [](const void* v) {
      return std::vector<double>(as<T>(v).begin(), as<T>(v).end());
    };
    type.set_numbers = [](void* v, const std::vector<double>& read) {
      for (std::size_t i = 0; i < array_size<T>; ++i) as<T>(v)[i] = read[i];
      return std::string();
    };
  } else {
    type.count = Numbers<T>::count;
    type.numbers = [](const void* v) { return Numbers<T>::get(as<T>(v)); };
    type.set_numbers = [](void* v, const std::vector<double>& read) {
      return Numbers<T>::set(as<T>(v), read);
    };
  }
}

template <class T>
void list(Type& type) {
  type.shape = Shape::list;
  type.item = &type_of<typename T::value_type>();
  type.size = [](const void* v) { return as<T>(v).size(); };
  type.at = [](const void* v, std::size_t i) -> const void* { return &as<T>(v)[i]; };
  type.add = [](void* v) -> void* { return &as<T>(v).emplace_back(); };
  type.clear = [](void* v) { as<T>(v).clear(); };
}

template <class T>
void named(Type& type) {
  type.shape = Shape::named;
  type.item = &type_of<typename T::mapped_type>();
  type.size = [](const void* v) { return as<T>(v).size(); };
  type.each = [](const void* v, const auto& visit) {
    for (const auto& [name, value] : as<T>(v)) visit(name, &value);
  };
  type.add_named = [](void* v, const std::string& name) -> void* { return &as<T>(v)[name]; };
  type.clear = [](void* v) { as<T>(v).clear(); };
}

template <class T>
void maybe(Type& type) {
  type.shape = Shape::maybe;
  type.item = &type_of<typename T::value_type>();
  type.held = [](const void* v) -> const void* { return as<T>(v) ? &*as<T>(v) : nullptr; };
  type.hold = [](void* v) -> void* { return &as<T>(v).emplace(); };
  type.clear = [](void* v) { as<T>(v).reset(); };
}

/// A fresh value that the offsets of the fields are measured on.
template <class T>
T& prototype() {
  static T value{};
  return value;
}

template <class T>
Type described() {
  Type type;
  type.make = []() -> std::shared_ptr<void> { return std::make_shared<T>(); };
  if constexpr (std::is_same_v<T, std::string>) {
    type.shape = Shape::text;
  } else if constexpr (std::is_same_v<T, double>) {
    type.shape = Shape::number;
  } else if constexpr (std::is_same_v<T, bool>) {
    type.shape = Shape::yes_no;
  } else if constexpr (std::is_integral_v<T>) {
    whole<T>(type);
  } else if constexpr (std::is_enum_v<T>) {
    word<T>(type);
  } else if constexpr (std::is_same_v<T, std::vector<bool>>) {
    type.shape = Shape::flags;
  } else if constexpr (std::is_same_v<T, std::vector<double>> || array_size<T> != 0 ||
                       InNumbers<T>) {
    numbers<T>(type);
  } else if constexpr (is_list<T>) {
    list<T>(type);
  } else if constexpr (is_named<T>) {
    named<T>(type);
  } else if constexpr (is_maybe<T>) {
    maybe<T>(type);
  } else {
    T& value = prototype<T>();
    Describe describe(type, &value);
    if constexpr (is_pair<T>) {
      type.shape = Shape::row;
      describe("0", value.first, {});
      describe("1", value.second, {});
    } else {
      fields(describe, value);
    }
  }
  return type;
}

/// `name` is a member that points at the text.
template <auto name, class T>
void list_by_name(Type& type) {
  type.shape = Shape::named;
  type.size = [](const void* v) { return as<std::vector<T>>(v).size(); };
  type.clear = [](void* v) { as<std::vector<T>>(v).clear(); };
}

}  // namespace detail

template <class T>
const Type& type_of() {
  static const Type type = detail::described<T>();
  return type;
}

template <auto name, class T>
void Describe::by_name(std::string_view key, std::vector<T>& member, const Says& says) {
  Type& type = kept();
  detail::list_by_name<name, T>(type);
  type.item = &type_of<T>();
  type.each = [](const void* v, const auto& visit) {
    for (const T& one : detail::as<std::vector<T>>(v)) visit(one.*name, &one);
  };
  type.add_named = [](void* v, const std::string& text) -> void* {
    T& one = detail::as<std::vector<T>>(v).emplace_back();
    one.*name = text;
    return &one;
  };
  put(key, &member, type, says);
}

template <auto name, auto value, class T>
void Describe::by_name(std::string_view key, std::vector<T>& member, const Says& says) {
  Type& type = kept();
  detail::list_by_name<name, T>(type);
  type.item = &type_of<std::remove_reference_t<decltype(std::declval<T&>().*value)>>();
  type.each = [](const void* v, const auto& visit) {
    for (const T& one : detail::as<std::vector<T>>(v)) visit(one.*name, &(one.*value));
  };
  type.add_named = [](void* v, const std::string& text) -> void* {
    T& one = detail::as<std::vector<T>>(v).emplace_back();
    one.*name = text;
    return &(one.*value);
  };
  put(key, &member, type, says);
}

}  // namespace mendtone::results
