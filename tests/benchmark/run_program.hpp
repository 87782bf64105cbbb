#pragma once
#include <benchmark/benchmark.h>
#include <fcntl.h>
#include <spawn.h>
#include <sys/resource.h>
#include <sys/wait.h>

#include <algorithm>
#include <chrono>
#include <string>
#include <vector>

extern char** environ;

// Whole programs as benchmarks.
namespace mendtone::programs {

inline double seconds(const timeval& time) {
  return static_cast<double>(time.tv_sec) + 1e-6 * static_cast<double>(time.tv_usec);
}

/// Runs a program once an iteration; time by the clock on the wall. What its own helpers used is
/// counted with it: it waits for them.
inline void run_program(benchmark::State& state, std::vector<std::string> command) {
  std::vector<char*> arguments;
  for (std::string& word : command) arguments.push_back(word.data());
  arguments.push_back(nullptr);
  long peak_kib = 0;
  double core_s = 0;  // of all cores together: what is left when others use the machine too
  for (auto _ : state) {
    posix_spawn_file_actions_t quiet;
    posix_spawn_file_actions_init(&quiet);
    posix_spawn_file_actions_addopen(&quiet, 1, "/dev/null", O_WRONLY, 0);
    const auto start = std::chrono::steady_clock::now();
    pid_t child = 0;
    int status = 0;
    rusage used{};
    const bool started =
        posix_spawnp(&child, arguments[0], &quiet, nullptr, arguments.data(), environ) == 0;
    posix_spawn_file_actions_destroy(&quiet);
    if (!started || wait4(child, &status, 0, &used) != child || status != 0) {
      state.SkipWithError("the program failed, or is not installed");
      return;
    }
    state.SetIterationTime(
        std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count());
    peak_kib = std::max(peak_kib, used.ru_maxrss);
    core_s += seconds(used.ru_utime) + seconds(used.ru_stime);
  }
  state.counters["core_s"] = core_s / static_cast<double>(state.iterations());
  state.counters["peak_MiB"] = static_cast<double>(peak_kib) / 1024;
}

}  // namespace mendtone::programs
