#pragma once
#include <array>
#include <cstdint>

namespace mendtone {

/// Counter-based random numbers: the same (seed, stream) gives the same sequence on every machine
/// and for any number of threads. Philox4x32-10.
/// Ref: salmon2011
class CounterRandom {
 public:
  explicit CounterRandom(std::uint64_t seed, std::uint64_t stream = 0);

  std::uint32_t bits();
  /// Uniform in the open interval (0, 1), 52 bits.
  double uniform();
  /// Standard normal (Box-Muller; both numbers of a pair are used).
  double normal();
  /// Uniform whole number in [0, n); n > 0. Unbiased (rejection).
  std::uint32_t below(std::uint32_t n);

 private:
  void refill();

  std::array<std::uint32_t, 4> counter_{};
  std::array<std::uint32_t, 2> key_{};
  std::array<std::uint32_t, 4> block_{};
  int used_ = 4;
  double spare_normal_ = 0;
  bool has_spare_ = false;
};

/// One Philox4x32-10 block, for tests against the paper's known answers.
std::array<std::uint32_t, 4> philox4x32_10(std::array<std::uint32_t, 4> counter,
                                           std::array<std::uint32_t, 2> key);

}  // namespace mendtone
