#include <algorithm>
#include <cmath>

#include "mendtone/base/numbers.hpp"
#include "results/json.hpp"

namespace mendtone::results {
namespace {

std::string short_text(const Type& type, const void* value) {
  const std::string text = to_parameters(type, value);
  return text.size() <= 80 ? text : text.substr(0, 70) + " …";
}

bool agree(double a, double b) {
  return std::abs(a - b) <= 1e-9 * std::max({1.0, std::abs(a), std::abs(b)});
}

class Comparison {
 public:
  Comparison(int version) : version_(version) {}

  Compared found;

  void values(const Type& type, const void* kept, const void* now, const std::string& at) {
    switch (type.shape) {
      case Shape::number:
        return number(detail::as<double>(kept), detail::as<double>(now), at);
      case Shape::numbers:
        return numbers(type, kept, now, at);
      case Shape::list:
        return list(type, kept, now, at);
      case Shape::named:
        return named(type, kept, now, at);
      case Shape::maybe:
        return maybe(type, kept, now, at);
      case Shape::record:
      case Shape::row:
        return record(type, kept, now, at);
      case Shape::text:
      case Shape::whole:
      case Shape::yes_no:
      case Shape::word:
      case Shape::flags:
        break;
    }
    if (type.shape == Shape::whole) ++found.figures;
    if (to_value(type, kept) != to_value(type, now)) differ(type, kept, now, at);
  }

 private:
  void differ(const Type& type, const void* kept, const void* now, const std::string& at) {
    found.unlike.push_back({at, short_text(type, kept), short_text(type, now)});
  }
  void number(double kept, double now, const std::string& at) {
    ++found.figures;
    if (!agree(kept, now)) found.unlike.push_back({at, shortest(kept), shortest(now)});
  }
  void numbers(const Type& type, const void* kept, const void* now, const std::string& at) {
    const auto before = type.numbers(kept), after = type.numbers(now);
    if (before.size() != after.size()) return differ(type, kept, now, at);
    for (std::size_t i = 0; i < before.size(); ++i)
      number(before[i], after[i], at + "/" + std::to_string(i));
  }
  void list(const Type& type, const void* kept, const void* now, const std::string& at) {
    if (type.size(kept) != type.size(now)) return differ(type, kept, now, at);
    for (std::size_t i = 0; i < type.size(kept); ++i)
      values(*type.item, type.at(kept, i), type.at(now, i), at + "/" + std::to_string(i));
  }
  void named(const Type& type, const void* kept, const void* now, const std::string& at) {
    if (type.size(kept) != type.size(now)) return differ(type, kept, now, at);
    type.each(kept, [&](const std::string& name, const void* before) {
      bool there = false;
      type.each(now, [&](const std::string& other, const void* after) {
        if (other != name) return;
        there = true;
        values(*type.item, before, after, at + "/" + name);
      });
      if (!there) found.unlike.push_back({at + "/" + name, short_text(*type.item, before), "none"});
    });
  }
  void maybe(const Type& type, const void* kept, const void* now, const std::string& at) {
    const void *before = type.held(kept), *after = type.held(now);
    if (before && after) return values(*type.item, before, after, at);
    if (before || after) differ(type, kept, now, at);
  }
  void record(const Type& type, const void* kept, const void* now, const std::string& at) {
    for (const Field& field : type.fields)
      if (!field.says.prose && !field.says.only_typed && field.says.since <= version_)
        values(*field.type, field.in(kept), field.in(now),
               field.says.among ? at : at + "/" + field.key);
  }

  int version_;
};

}  // namespace

Compared compare(const Type& type, const void* kept, const void* now, int kept_version) {
  Comparison walk(kept_version);
  walk.values(type, kept, now, "");
  return std::move(walk.found);
}

}  // namespace mendtone::results
