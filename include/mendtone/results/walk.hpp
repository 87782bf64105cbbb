#pragma once
#include "mendtone/base/result.hpp"
#include "mendtone/results/describe.hpp"

// What is done with a description, each written once.
namespace mendtone::results {

/// A value whose type is known while the program runs.
struct Value {
  const Type* type = nullptr;
  std::shared_ptr<void> data;

  template <class T>
  T& as() {
    return *static_cast<T*>(data.get());
  }
  template <class T>
  const T& as() const {
    return *static_cast<const T*>(data.get());
  }
};

template <class T>
Value value_of(T value) {
  return {&type_of<T>(), std::make_shared<T>(std::move(value))};
}
Value fresh(const Type& type);

/// The document as it is printed: indented by two, fields in the order of their list, doubles in
/// shortest form; null for a number that is none; bytes that are not UTF-8 become U+FFFD.
std::string to_json(const Type& type, const void* value);
/// On one line, without the head that a document has.
std::string to_parameters(const Type& type, const void* value);

/// How strictly a text is read.
enum class Reading {
  document,   ///< what a program of any version wrote: its own version says what may be missing
  question,   ///< asked now: what is missing keeps its default, what is not known is refused
  kept        ///< a question that was kept: what is not known any more is passed over
};

/// Fills `into`, which is fresh. Never throws. The first fault is refused, with its JSON pointer,
/// what was expected and what was found; `name` is the file's, for the message.
Result<void> from_json(const Type& type, std::string_view text, const std::string& name,
                       Reading reading, void* into);

/// What a document says of itself. Refuses a text that says nothing of the kind.
struct Head {
  std::string schema;  ///< "wash"
  int version = 1;
  int method = 1;
};
Result<Head> head_of(std::string_view text, const std::string& name);

/// A place where two values of one type are not the same.
struct Unlike {
  std::string pointer, kept, now;
};
struct Compared {
  std::size_t figures = 0;  ///< numbers that were compared
  std::vector<Unlike> unlike;
};
/// Field by field; sentences are passed over, and fields that version `kept_version` did not have.
/// Numbers agree within 1e-9 of their size (or of 1, for smaller ones).
Compared compare(const Type& type, const void* kept, const void* now, int kept_version);

/// One line for each row of the type's table. Contract: it has one.
std::string to_csv(const Type& type, const void* value);

/// The same table with units in its heads, and a sheet that says by which program it was made and,
/// where the answer says so, under which lights and for which observer; as `Workbook::text` holds
/// sheets.
std::string to_sheets(const Type& type, const void* value, std::string_view program);

/// JSON Schema 2020-12.
std::string json_schema(const Type& type);
/// One interface for each record that has a name, one union for each word.
std::string typescript(std::span<const Type* const> types);

/// Cells as one CSV line (RFC 4180): quoted where a comma, quote or line break stands in them.
std::string csv_line(const std::vector<std::string>& cells);

template <class T>
std::string to_json(const T& value) {
  return to_json(type_of<T>(), &value);
}
template <class T>
std::string to_csv(const T& value) {
  return to_csv(type_of<T>(), &value);
}
template <class T>
Result<T> read(std::string_view text, const std::string& name, Reading reading = Reading::document) {
  T value{};
  auto done = from_json(type_of<T>(), text, name, reading, &value);
  if (!done) return done.error();
  return value;
}

}  // namespace mendtone::results
