#pragma once
#include <cassert>
#include <string>
#include <utility>
#include <variant>

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
inline Error outside_world(std::string message, std::string where = {}) {
  return {ErrorCode::outside_world, std::move(message), std::move(where)};
}

/// A value or the reason why there is none. Asking for the wrong one breaks the contract.
template <class T>
class [[nodiscard]] Result {
 public:
  Result(T value) : state_(std::in_place_index<0>, std::move(value)) {}
  Result(Error error) : state_(std::in_place_index<1>, std::move(error)) {}

  explicit operator bool() const { return state_.index() == 0; }
  const T& operator*() const& { return value(); }
  T& operator*() & { return value(); }
  T&& operator*() && { return std::move(value()); }
  const T* operator->() const { return &value(); }
  T* operator->() { return &value(); }

  const T& value() const {
    assert(*this);
    return *std::get_if<0>(&state_);
  }
  T& value() {
    assert(*this);
    return *std::get_if<0>(&state_);
  }
  const Error& error() const {
    assert(!*this);
    return *std::get_if<1>(&state_);
  }

 private:
  std::variant<T, Error> state_;
};

template <>
class [[nodiscard]] Result<void> {
 public:
  Result() = default;
  Result(Error error) : error_(std::move(error)), ok_(false) {}

  explicit operator bool() const { return ok_; }
  const Error& error() const {
    assert(!ok_);
    return error_;
  }

 private:
  Error error_;
  bool ok_ = true;
};

}  // namespace mendtone
