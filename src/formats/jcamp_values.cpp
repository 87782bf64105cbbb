#include <algorithm>
#include <cmath>

#include "formats/jcamp.hpp"
#include "mendtone/base/numbers.hpp"

namespace mendtone::formats {
namespace {

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}
bool is_blank(char c) {
  return c == ' ' || c == '\t' || c == ',' || c == ';';
}

/// A character that opens a squeezed, difference or duplicate value, and its leading digit.
struct Opening {
  enum Kind { none, squeezed_value, difference, duplicate } kind = none;
  int digit = 0;
  bool negative = false;
};

Opening opening_of(char c) {
  if (c == '@') return {Opening::squeezed_value, 0, false};
  if (c >= 'A' && c <= 'I') return {Opening::squeezed_value, c - 'A' + 1, false};
  if (c >= 'a' && c <= 'i') return {Opening::squeezed_value, c - 'a' + 1, true};
  if (c == '%') return {Opening::difference, 0, false};
  if (c >= 'J' && c <= 'R') return {Opening::difference, c - 'J' + 1, false};
  if (c >= 'j' && c <= 'r') return {Opening::difference, c - 'j' + 1, true};
  if (c >= 'S' && c <= 'Z') return {Opening::duplicate, c - 'S' + 1, false};
  if (c == 's') return {Opening::duplicate, 9, false};
  return {};
}

/// 'E' is an exponent in plain numbers and the digit 5 in squeezed ones. A table that holds any
/// other opening is squeezed.
bool is_squeezed(const JcampTable& table) {
  for (const Line& line : table.lines)
    for (const char c : line.text)
      if (c != 'E' && c != 'e' && opening_of(c).kind != Opening::none) return true;
  return false;
}

/// Takes a plain number off the front of `text`; none where none stands there.
std::optional<double> take_plain(std::string_view& text, bool exponents) {
  std::size_t n = 0;
  if (n < text.size() && (text[n] == '+' || text[n] == '-')) ++n;
  const std::size_t digits_from = n;
  while (n < text.size() && (is_digit(text[n]) || text[n] == '.')) ++n;
  if (n == digits_from) return std::nullopt;
  if (exponents && n < text.size() && (text[n] == 'E' || text[n] == 'e')) {
    std::size_t e = n + 1;
    if (e < text.size() && (text[e] == '+' || text[e] == '-')) ++e;
    if (e < text.size() && is_digit(text[e])) {
      while (e < text.size() && is_digit(text[e])) ++e;
      n = e;
    }
  }
  const auto value = number_in(text.substr(0, n), '.');
  if (value) text.remove_prefix(n);
  return value;
}

/// Takes an opening and the digits after it.
std::optional<double> take_opened(std::string_view& text, const Opening& opening) {
  std::size_t n = 1;
  while (n < text.size() && (is_digit(text[n]) || text[n] == '.')) ++n;
  const auto value =
      number_in(std::to_string(opening.digit) + std::string(text.substr(1, n - 1)), '.');
  text.remove_prefix(n);
  if (!value) return std::nullopt;
  return opening.negative ? -*value : *value;
}

class RunningX {
 public:
  RunningX(const JcampTable& table, const JcampRun& run, std::string_view file)
      : table_(table), run_(run), file_(file), squeezed_(is_squeezed(table)) {
    first_ = run.first;
    if (run.first && run.last && run.points && *run.points > 1)
      step_ = (*run.last - *run.first) / static_cast<double>(*run.points - 1);
    else
      step_ = run.delta;
    // A duplicate count is the one thing that can ask for more values than the file has bytes.
    std::size_t bytes = 0;
    for (const Line& line : table.lines) bytes += line.text.size();
    most_points_ = std::clamp<std::size_t>(100 * bytes, 10000, 1000000);
    if (run.points) most_points_ = std::min(most_points_, *run.points);
  }

  Result<JcampPoints> read() {
    for (const Line& line : table_.lines) MENDTONE_TRY(read_line(line));
    return points();
  }

 private:
  std::string at(const Line& line, std::string_view rest) const {
    return place(file_, line.number, static_cast<std::size_t>(rest.data() - line.text.data()) + 1);
  }

  Result<void> read_line(const Line& line) {
    std::string_view rest = line.text;
    const std::string_view start = rest;
    // In squeezed tables an exponent of X is only believed with its sign: 4.0E+02.
    const std::size_t e = rest.find_first_of("Ee");
    const bool signed_exponent = e != std::string_view::npos && e + 1 < rest.size() &&
                                 (rest[e + 1] == '+' || rest[e + 1] == '-');
    const auto x = take_plain(rest, !squeezed_ || signed_exponent);
    if (!x)
      return bad_input("expected a line to begin with X, found " + quoted(start), at(line, rest));
    const bool check = after_difference_ && !value_.empty();
    MENDTONE_TRY(check_x(*x * run_.x_factor, check, line));
    bool first = true;
    for (;;) {
      while (!rest.empty() && is_blank(rest.front())) rest.remove_prefix(1);
      if (rest.empty()) return {};
      MENDTONE_TRY(take_ordinate(line, rest, first && check));
      first = false;
    }
  }

  /// X of a line must be where the count of values so far says it is, to within a step.
  Result<void> check_x(double x, bool repeats_last, const Line& line) {
    if (!first_) first_ = x;
    last_x_ = x;
    last_index_ = value_.size() - (repeats_last ? 1 : 0);
    if (!step_ || *step_ == 0) return {};
    const double index = static_cast<double>(value_.size()) - (repeats_last ? 1 : 0);
    const double expected = *first_ + index * *step_;
    // X is often printed as a whole number while the step has decimals.
    const double allowed = std::max(0.6 * std::abs(*step_), 0.51 * std::abs(run_.x_factor));
    if (std::abs(x - expected) <= allowed) return {};
    return bad_input("expected X near " + shortest(expected) + " after " +
                         std::to_string(value_.size()) + " values, found " + shortest(x) +
                         ": values are missing or too many",
                     place(file_, line.number, 1));
  }

  Result<void> take_ordinate(const Line& line, std::string_view& rest, bool is_check) {
    const std::string_view start = rest;
    if (rest.front() == '?') {
      rest.remove_prefix(1);
      last_kind_ = Opening::squeezed_value;
      after_difference_ = false;
      return append({0, false}, line, start);
    }
    const Opening opening = opening_of(rest.front());
    const auto value =
        opening.kind == Opening::none || (!squeezed_ && opening.kind != Opening::none)
            ? take_plain(rest, !squeezed_)
            : take_opened(rest, opening);
    if (!value) return bad_input("expected an ordinate, found " + quoted(start), at(line, start));
    switch (opening.kind) {
      case Opening::none:
      case Opening::squeezed_value:
        last_kind_ = Opening::squeezed_value;
        after_difference_ = false;
        if (is_check) return check_y(*value, line, start);
        return append({*value, true}, line, start);
      case Opening::difference:
        if (value_.empty() || !value_.back().valid)
          return bad_input("expected a value before a difference, found none", at(line, start));
        last_kind_ = Opening::difference;
        after_difference_ = true;
        difference_ = *value;
        return append({value_.back().y + *value, true}, line, start);
      case Opening::duplicate:
        return duplicate(*value, line, start);
    }
    return {};
  }

  Result<void> check_y(double y, const Line& line, std::string_view start) {
    const double expected = value_.back().y;
    if (y == expected) return {};
    return bad_input("expected the check value " + shortest(expected) +
                         ", the last of the line before, found " + shortest(y),
                     at(line, start));
  }

  Result<void> duplicate(double count, const Line& line, std::string_view start) {
    if (value_.empty() || count < 1 || count != std::floor(count))
      return bad_input("expected a value before a repeat count, found " + quoted(start),
                       at(line, start));
    for (double i = 1; i < count; ++i) {
      Ordinate next = value_.back();
      if (last_kind_ == Opening::difference) next.y += difference_;
      MENDTONE_TRY(append(next, line, start));
    }
    return {};
  }

  struct Ordinate {
    double y = 0;
    bool valid = true;
  };

  Result<void> append(Ordinate ordinate, const Line& line, std::string_view start) {
    if (value_.size() >= most_points_)
      return bad_input("expected " +
                           (run_.points ? std::to_string(*run_.points) + " values (NPOINTS)"
                                        : std::string("fewer values")) +
                           ", found more",
                       at(line, start));
    value_.push_back(ordinate);
    return {};
  }

  Result<JcampPoints> points() {
    const std::size_t n = value_.size();
    JcampPoints result;
    if (run_.points && n != *run_.points) {
      return bad_input("expected " + std::to_string(*run_.points) + " values (NPOINTS), found " +
                           std::to_string(n),
                       place(file_, table_.line));
    }
    if (n < 2)
      return bad_input("expected a table of values, found " + std::to_string(n),
                       place(file_, table_.line));
    auto step = MENDTONE_TRY(found_step(n));
    for (std::size_t i = 0; i < n; ++i) {
      if (!value_[i].valid) continue;
      result.x.push_back(*first_ + step * static_cast<double>(i));
      result.y.push_back(value_[i].y * run_.y_factor);
    }
    if (result.x.size() < n)
      result.warnings.push_back(std::to_string(n - result.x.size()) +
                                " values marked invalid ('?') left out");
    return result;
  }

  /// From FIRSTX, LASTX and the count; else DELTAX; else from where the last line begins.
  Result<double> found_step(std::size_t n) const {
    double step = 0;
    if (run_.last)
      step = (*run_.last - *first_) / static_cast<double>(n - 1);
    else if (run_.delta)
      step = *run_.delta;
    else if (last_index_ > 0)
      step = (last_x_ - *first_) / static_cast<double>(last_index_);
    if (step != 0) return step;
    return bad_input("expected LASTX or DELTAX, found neither", place(file_, table_.line));
  }

  const JcampTable& table_;
  const JcampRun& run_;
  std::string_view file_;
  bool squeezed_;
  std::optional<double> first_, step_;
  double difference_ = 0, last_x_ = 0;
  std::size_t last_index_ = 0;
  std::size_t most_points_ = 0;
  Opening::Kind last_kind_ = Opening::none;
  bool after_difference_ = false;
  std::vector<Ordinate> value_;
};

}  // namespace

Result<JcampPoints> read_running_x(const JcampTable& table, const JcampRun& run,
                                   std::string_view file) {
  return RunningX(table, run, file).read();
}

Result<JcampPoints> read_pairs(const JcampTable& table, double x_factor, double y_factor,
                               std::string_view file) {
  JcampPoints result;
  std::optional<double> x;
  for (const Line& line : table.lines) {
    std::string_view rest = line.text;
    for (;;) {
      while (!rest.empty() && is_blank(rest.front())) rest.remove_prefix(1);
      if (rest.empty()) break;
      const std::string_view start = rest;
      const auto column = static_cast<std::size_t>(start.data() - line.text.data()) + 1;
      const auto value = take_plain(rest, true);
      if (!value)
        return bad_input("expected pairs of numbers, found " + quoted(start),
                         place(file, line.number, column));
      if (!x) {
        x = *value;
        continue;
      }
      result.x.push_back(*x * x_factor);
      result.y.push_back(*value * y_factor);
      x.reset();
    }
  }
  if (x)
    return bad_input("expected pairs of numbers, found an X without its Y",
                     place(file, table.lines.back().number));
  if (result.x.size() < 2)
    return bad_input("expected a table of values, found " + std::to_string(result.x.size()),
                     place(file, table.line));
  return result;
}

}  // namespace mendtone::formats
