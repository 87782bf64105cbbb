#include "mendtone/base/random.hpp"

#include <cassert>
#include <cmath>
#include <numbers>

namespace mendtone {

std::array<std::uint32_t, 4> philox4x32_10(std::array<std::uint32_t, 4> c,
                                           std::array<std::uint32_t, 2> k) {
  for (int round = 0; round < 10; ++round) {
    const std::uint64_t p0 = std::uint64_t{0xD2511F53u} * c[0];
    const std::uint64_t p1 = std::uint64_t{0xCD9E8D57u} * c[2];
    c = {static_cast<std::uint32_t>(p1 >> 32) ^ c[1] ^ k[0], static_cast<std::uint32_t>(p1),
         static_cast<std::uint32_t>(p0 >> 32) ^ c[3] ^ k[1], static_cast<std::uint32_t>(p0)};
    k[0] += 0x9E3779B9u;
    k[1] += 0xBB67AE85u;
  }
  return c;
}

CounterRandom::CounterRandom(std::uint64_t seed, std::uint64_t stream) {
  key_ = {static_cast<std::uint32_t>(seed), static_cast<std::uint32_t>(seed >> 32)};
  counter_ = {0, 0, static_cast<std::uint32_t>(stream), static_cast<std::uint32_t>(stream >> 32)};
}

void CounterRandom::refill() {
  block_ = philox4x32_10(counter_, key_);
  if (++counter_[0] == 0) ++counter_[1];
  used_ = 0;
}

std::uint32_t CounterRandom::bits() {
  if (used_ == 4) refill();
  return block_[static_cast<std::size_t>(used_++)];
}

double CounterRandom::uniform() {
  const std::uint64_t high = bits() >> 5;  // 27 bits
  const std::uint64_t low = bits() >> 7;   // 25 bits
  return (static_cast<double>(high * 33554432u + low) + 0.5) / 4503599627370496.0;
}

double CounterRandom::normal() {
  if (has_spare_) {
    has_spare_ = false;
    return spare_normal_;
  }
  const double radius = std::sqrt(-2 * std::log(uniform()));
  const double angle = 2 * std::numbers::pi * uniform();
  spare_normal_ = radius * std::sin(angle);
  has_spare_ = true;
  return radius * std::cos(angle);
}

std::uint32_t CounterRandom::below(std::uint32_t n) {
  assert(n > 0);
  const std::uint32_t limit = static_cast<std::uint32_t>(0x100000000ull - 0x100000000ull % n);
  std::uint32_t draw = bits();
  while (limit != 0 && draw >= limit) draw = bits();
  return draw % n;
}

}  // namespace mendtone
