#pragma once
#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <vector>

namespace mendtone::photons {

/// How long the ways were that photons went, weighted: eight bins an octave, each with the first
/// three moments of what fell in. Absorption is laid upon it afterwards, so that one run of photons
/// serves every absorption.
class PathLengths {
 public:
  PathLengths() : bins_(octaves * per_octave) {}

  void add(double length, double weight) {
    Bin& bin = bins_[place(length)];
    bin.weight += weight;
    bin.length += weight * length;
    bin.square += weight * length * length;
  }
  PathLengths& operator+=(const PathLengths& more) {
    for (std::size_t i = 0; i < bins_.size(); ++i) {
      bins_[i].weight += more.bins_[i].weight;
      bins_[i].length += more.bins_[i].length;
      bins_[i].square += more.bins_[i].square;
    }
    return *this;
  }
  /// Sum of weight exp(-absorption length): what is left when each unit of way absorbs that much.
  /// Within a bin to second order, which leaves less than 1e-5 of it.
  double left(double absorption) const {
    double sum = 0;
    for (const Bin& bin : bins_) {
      if (bin.weight <= 0) continue;
      const double mean = bin.length / bin.weight;
      const double variance = std::max(0.0, bin.square / bin.weight - mean * mean);
      sum +=
          bin.weight * std::exp(-absorption * mean) * (1 + absorption * absorption * variance / 2);
    }
    return sum;
  }
  /// Sum of weight times length.
  double total() const {
    double sum = 0;
    for (const Bin& bin : bins_) sum += bin.length;
    return sum;
  }

 private:
  struct Bin {
    double weight = 0, length = 0, square = 0;
  };
  static constexpr int octaves = 40, lowest = -24, per_octave = 8;

  /// From the bits of the number: exponent and the first three of the mantissa.
  static std::size_t place(double length) {
    const auto at = static_cast<std::int64_t>(std::bit_cast<std::uint64_t>(length) >> 49);
    constexpr std::int64_t first = std::int64_t{1023 + lowest} * per_octave;
    return static_cast<std::size_t>(
        std::clamp<std::int64_t>(at - first, 0, octaves * per_octave - 1));
  }

  std::vector<Bin> bins_;
};

}  // namespace mendtone::photons
