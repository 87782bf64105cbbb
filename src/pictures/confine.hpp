#pragma once
#include <cstddef>

namespace mendtone::pictures {

/// What a process that decodes one picture may use.
struct Limits {
  std::size_t memory_bytes = std::size_t{1} << 30;  ///< beyond what it begins with
  int seconds_a_step = 60;                          ///< of processor time, for one request
  int seconds_in_all = 1800;
};

/// Gives up, for good, all but computing, reading descriptors that are already open, and answering:
/// no file can be opened, no program or process started, no connection made. Without libseccomp the
/// limits of memory, time and files written stand alone. The memory has no limit under the address
/// sanitizer, which takes far more than it needs. False where the system refuses a limit.
bool confine(const Limits& limits);

/// One request's time begins; the process ends (SIGPROF) when it is over.
void begin_step(const Limits& limits);

}  // namespace mendtone::pictures
