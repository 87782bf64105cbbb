#pragma once
#include <string>
#include <utility>
#include <variant>
#include <vector>

namespace mendtone {

/// Who has to act: the command line (exit 2), the data (exit 3), the world outside (exit 4).
enum class ErrorCode { bad_request, bad_input, outside_world };

/// A refusal. `message` says what was expected and what was found, in words for a conservator;
/// `where` is a file with line and column, or a field, or empty.
struct Error {
  ErrorCode code = ErrorCode::bad_input;
  std::string message;
  std::string where;

  /// "where: message", as it is printed.
  std::string text() const { return where.empty() ? message : where + ": " + message; }
};

inline Error bad_request(std::string message, std::string where = {}) {
  return {ErrorCode::bad_request, std::move(message), std::move(where)};
}
inline Error bad_input(std::string message, std::string where = {}) {
  return {ErrorCode::bad_input, std::move(message), std::move(where)};
}
/// One refusal that names every fault at once.
Error bad_input(const std::vector<std::string>& faults, std::string where = {});
inline Error outside_world(std::string message, std::string where = {}) {
  return {ErrorCode::outside_world, std::move(message), std::move(where)};
}

namespace detail {
/// Prints why there is no value, and ends the program.
[[noreturn]] void stop_without_value(const Error& error);
/// Says that no error was there to ask for, and ends the program.
[[noreturn]] void stop_without_error();
}  // namespace detail

/// A value or the reason why there is none. Whoever asks for the one that is not there has broken
/// the contract: the program stops with the message, in every build.
template <class T>
class [[nodiscard]] Result {
 public:
  Result(T value) : state_(std::in_place_index<0>, std::move(value)) {}
  Result(Error error) : state_(std::in_place_index<1>, std::move(error)) {}

  explicit operator bool() const { return state_.index() == 0; }

  const T& value() const& { return *held(); }
  T& value() & { return const_cast<T&>(*held()); }
  /// Moved out, so that nothing points into a Result that is gone.
  T value() && { return std::move(value()); }
  T value_or(T otherwise) const& { return *this ? *held() : std::move(otherwise); }
  T value_or(T otherwise) && { return *this ? std::move(value()) : std::move(otherwise); }

  const T& operator*() const& { return value(); }
  T& operator*() & { return value(); }
  T operator*() && { return std::move(value()); }
  const T* operator->() const { return &value(); }
  T* operator->() { return &value(); }

  const Error& error() const {
    if (*this) detail::stop_without_error();
    return *std::get_if<1>(&state_);
  }

 private:
  const T* held() const {
    if (!*this) detail::stop_without_value(error());
    return std::get_if<0>(&state_);
  }
  std::variant<T, Error> state_;
};

template <>
class [[nodiscard]] Result<void> {
 public:
  Result() = default;
  Result(Error error) : error_(std::move(error)), ok_(false) {}

  explicit operator bool() const { return ok_; }
  void value() const {
    if (!ok_) detail::stop_without_value(error_);
  }
  const Error& error() const {
    if (ok_) detail::stop_without_error();
    return error_;
  }

 private:
  Error error_;
  bool ok_ = true;
};

}  // namespace mendtone

/// The value of a Result; where there is none, the function around it returns the error:
///   const Palette palette = MENDTONE_TRY(palette_in(text));
///   MENDTONE_TRY(check(palette));
/// It stands alone on the right of a declaration, or as a statement.
#define MENDTONE_TRY(...) MENDTONE_TRY_AS(MENDTONE_TRY_NAME(__COUNTER__), __VA_ARGS__)
#define MENDTONE_TRY_NAME(number) MENDTONE_TRY_JOIN(mendtone_tried_, number)
#define MENDTONE_TRY_JOIN(left, right) left##right
#define MENDTONE_TRY_AS(name, ...)  \
  __extension__({                   \
    auto name = (__VA_ARGS__);      \
    if (!name) return name.error(); \
    std::move(name).value();        \
  })
