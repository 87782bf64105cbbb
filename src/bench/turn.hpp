#pragma once
#include <atomic>

#include "bench/gate.hpp"

namespace mendtone::bench {

/// Requests that compute at once and wait for their turn with the processor; more are refused, so
/// that the page always has threads left.
constexpr int most_computing = 8;

/// Counts one in, and out again.
class Turn {
 public:
  explicit Turn(std::atomic<int>& computing)
      : computing_(computing), granted_(++computing <= most_computing) {}
  ~Turn() { --computing_; }
  Turn(const Turn&) = delete;
  Turn& operator=(const Turn&) = delete;
  explicit operator bool() const { return granted_; }

 private:
  std::atomic<int>& computing_;
  bool granted_;
};

inline Reply too_busy() {
  return refusal(503,
                 "too much is being computed at the moment: try again when some of it has ended");
}

}  // namespace mendtone::bench
