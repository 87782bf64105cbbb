#pragma once
#include <cmath>

#include "mendtone/base/random.hpp"
#include "mendtone/results/walk.hpp"

// Fills a value of any described type by chance, so that a test can hold for all of them.
namespace mendtone::results {

class RandomValue {
 public:
  explicit RandomValue(std::uint64_t seed) : random_(seed) {}

  void fill(const Type& type, void* into) {
    switch (type.shape) {
      case Shape::text:
        detail::as<std::string>(into) = text();
        return;
      case Shape::number:
        detail::as<double>(into) = number();
        return;
      case Shape::whole:
        type.set_whole(into, {below(1000), false});
        return;
      case Shape::yes_no:
        detail::as<bool>(into) = below(2) == 1;
        return;
      case Shape::word:
        type.set_word(into, type.words[below(type.words.size())]);
        return;
      case Shape::numbers:
        numbers(type, into);
        return;
      case Shape::flags:
        detail::as<std::vector<bool>>(into) = {true, false, below(2) == 1};
        return;
      case Shape::list:
        for (std::size_t i = below(4); i > 0; --i) fill(*type.item, type.add(into));
        return;
      case Shape::named:
        for (std::size_t i = 0, n = below(4); i < n; ++i)
          fill(*type.item, type.add_named(into, text() + std::to_string(i)));
        return;
      case Shape::maybe:
        if (below(2) == 1) fill(*type.item, type.hold(into));
        return;
      case Shape::record:
      case Shape::row:
        for (const Field& field : type.fields)
          if (!field.says.only_typed && !field.says.only_read) fill(*field.type, field.in(into));
        return;
    }
  }

 private:
  std::size_t below(std::size_t count) {
    return random_.below(static_cast<std::uint32_t>(count));
  }
  double number() { return (random_.uniform() - 0.5) * std::pow(10.0, below(12)); }
  std::string text() {
    static const char* const words[] = {"",      "plain",        "with \"quotes\"", "a, b; c",
                                        "größe", "two\nlines\t", "~/0",             "17 g/m²"};
    return words[below(8)];
  }
  void numbers(const Type& type, void* into) {
    std::vector<double> all(type.count > 0 ? type.count : below(6));
    for (double& one : all) one = number();
    if (type.set_numbers(into, all).empty()) return;
    // Wavelengths rise.
    type.set_numbers(into, {400, 410, 420.5, 430});
  }

  CounterRandom random_;
};

}  // namespace mendtone::results
