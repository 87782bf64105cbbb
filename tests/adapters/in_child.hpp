#pragma once
#include <sys/wait.h>
#include <unistd.h>

#include <functional>

namespace mendtone {

/// Runs `work` in a process of its own, so that its limits and rights end with it; its exit code,
/// or -1 when a signal ended it.
inline int in_child(const std::function<int()>& work) {
  const pid_t child = ::fork();
  if (child == 0) ::_exit(work());
  int status = 0;
  ::waitpid(child, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

}  // namespace mendtone
