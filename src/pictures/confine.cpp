#include "pictures/confine.hpp"

#include <fcntl.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/time.h>
#include <unistd.h>

#include <cstdio>
#ifdef MENDTONE_SECCOMP
#include <seccomp.h>

#include <cerrno>
#include <initializer_list>
#endif

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
#define MENDTONE_SHADOW_MEMORY
#elif defined(__has_feature)
#if __has_feature(address_sanitizer) || __has_feature(thread_sanitizer)
#define MENDTONE_SHADOW_MEMORY
#endif
#endif

namespace mendtone::pictures {
namespace {

/// What the process has in use: the libraries' own pages, mostly.
[[maybe_unused]] std::size_t address_space() {
  unsigned long pages = 0;
  std::FILE* const file = std::fopen("/proc/self/statm", "re");
  const bool read = file && std::fscanf(file, "%lu", &pages) == 1;
  if (file) std::fclose(file);
  return read ? pages * static_cast<std::size_t>(::sysconf(_SC_PAGESIZE)) : 0;
}

bool limit(__rlimit_resource what, rlim_t most) {
  const rlimit both{most, most};
  return ::setrlimit(what, &both) == 0;
}

#ifdef MENDTONE_SECCOMP

bool allow_calls(scmp_filter_ctx filter) {
  for (const int call : {SCMP_SYS(read),         SCMP_SYS(readv),           SCMP_SYS(pread64),
                         SCMP_SYS(lseek),        SCMP_SYS(fstat),           SCMP_SYS(close),
                         SCMP_SYS(write),        SCMP_SYS(writev),          SCMP_SYS(sendmsg),
                         SCMP_SYS(sendto),       SCMP_SYS(recvmsg),         SCMP_SYS(recvfrom),
                         SCMP_SYS(brk),          SCMP_SYS(munmap),          SCMP_SYS(mremap),
                         SCMP_SYS(madvise),      SCMP_SYS(futex),           SCMP_SYS(clock_gettime),
                         SCMP_SYS(gettimeofday), SCMP_SYS(clock_nanosleep), SCMP_SYS(nanosleep),
                         SCMP_SYS(sched_yield),  SCMP_SYS(getpid),          SCMP_SYS(gettid),
                         SCMP_SYS(getrandom),    SCMP_SYS(getrusage),       SCMP_SYS(setitimer),
                         SCMP_SYS(rt_sigaction), SCMP_SYS(rt_sigprocmask),  SCMP_SYS(rt_sigreturn),
                         SCMP_SYS(sigaltstack),  SCMP_SYS(restart_syscall), SCMP_SYS(exit),
                         SCMP_SYS(exit_group)})
    if (::seccomp_rule_add(filter, SCMP_ACT_ALLOW, call, 0) != 0) return false;
  return true;
}

/// Those that are harmless in one form only.
bool allow_forms(scmp_filter_ctx filter) {
  const auto executable = static_cast<scmp_datum_t>(PROT_EXEC);
  const auto self = static_cast<scmp_datum_t>(::getpid());
  const auto by_descriptor = static_cast<scmp_datum_t>(AT_EMPTY_PATH);
  const auto add = [filter](int call, scmp_arg_cmp form) {
    return ::seccomp_rule_add(filter, SCMP_ACT_ALLOW, call, 1, form) == 0;
  };
  // No memory that was written can be run.
  return add(SCMP_SYS(mmap), SCMP_A2(SCMP_CMP_MASKED_EQ, executable, 0)) &&
         add(SCMP_SYS(mprotect), SCMP_A2(SCMP_CMP_MASKED_EQ, executable, 0)) &&
         // `abort` ends this process and no other.
         add(SCMP_SYS(tgkill), SCMP_A0(SCMP_CMP_EQ, self)) &&
         add(SCMP_SYS(newfstatat), SCMP_A3(SCMP_CMP_MASKED_EQ, by_descriptor, by_descriptor));
}

/// All other calls fail as if they were not permitted: the libraries then say so, where a killed
/// process could not.
bool limit_calls() {
  const scmp_filter_ctx filter = ::seccomp_init(SCMP_ACT_ERRNO(EPERM));
  if (!filter) return false;
  const bool done = allow_calls(filter) && allow_forms(filter) && ::seccomp_load(filter) == 0;
  ::seccomp_release(filter);
  return done;
}

#else

bool limit_calls() {
  return true;
}

#endif

}  // namespace

bool confine(const Limits& limits) {
  bool done = ::prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) == 0;
#ifndef MENDTONE_SHADOW_MEMORY
  const std::size_t used = address_space();
  done = done && used > 0 && limit(RLIMIT_AS, used + limits.memory_bytes);
#endif
  done = done && limit(RLIMIT_CORE, 0) && limit(RLIMIT_FSIZE, 0) &&
         limit(RLIMIT_CPU, static_cast<rlim_t>(limits.seconds_in_all));
  return done && limit_calls();
}

void begin_step(const Limits& limits) {
  itimerval time{};
  time.it_value.tv_sec = limits.seconds_a_step;
  ::setitimer(ITIMER_PROF, &time, nullptr);
}

}  // namespace mendtone::pictures
