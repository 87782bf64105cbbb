#include "pictures/confine.hpp"

#include <fcntl.h>
#include <gtest/gtest.h>
#include <signal.h>
#include <sys/mman.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cerrno>
#include <functional>

#if defined(__SANITIZE_ADDRESS__)
#define MENDTONE_SANITIZED 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define MENDTONE_SANITIZED 1
#endif
#endif

// What a process that decodes a picture can still do, tried out in one that is confined alike.
namespace mendtone::pictures::confine_test {
namespace {

/// What `attempt` returned (0 to 100) in a confined process, or 200 and the signal that ended it.
int confined(const Limits& limits, const std::function<int()>& attempt) {
  const pid_t pid = ::fork();
  if (pid == 0) {
    if (!confine(limits)) ::_exit(101);
    begin_step(limits);
    ::_exit(attempt());
  }
  int status = 0;
  ::waitpid(pid, &status, 0);
  return WIFSIGNALED(status) ? 200 + WTERMSIG(status) : WEXITSTATUS(status);
}

TEST(Confine, ComputingAndOpenFilesRemain) {
  const int file = ::open("/proc/self/exe", O_RDONLY | O_CLOEXEC);
  EXPECT_EQ(confined({},
                     [file] {
                       char bytes[4] = {};
                       const auto memory = std::make_unique<std::vector<int>>(1'000'000, 7);
                       return ::pread(file, bytes, 4, 0) == 4 && bytes[1] == 'E' &&
                                      memory->back() == 7
                                  ? 7
                                  : 1;
                     }),
            7);
  ::close(file);
}

#ifdef MENDTONE_SECCOMP
TEST(Confine, NoFileNoSocketNoProgramNoCodeOfItsOwn) {
  const auto refused = [](const std::function<long()>& call) {
    return confined({}, [&] { return call() < 0 && errno == EPERM ? 7 : 1; });
  };
  EXPECT_EQ(refused([] { return ::open("/etc/passwd", O_RDONLY | O_CLOEXEC); }), 7);
  EXPECT_EQ(refused([] { return ::open("/tmp", O_RDWR | O_TMPFILE, 0600); }), 7);
  EXPECT_EQ(refused([] { return ::unlink("/nothing/of/this/name"); }), 7);
  EXPECT_EQ(refused([] { return ::socket(AF_INET, SOCK_STREAM, 0); }), 7);
  EXPECT_EQ(refused([] { return ::fork(); }), 7);
  EXPECT_EQ(refused([] { return ::execl("/bin/true", "true", nullptr); }), 7);
  EXPECT_EQ(refused([] { return ::kill(::getppid(), SIGTERM); }), 7);
  EXPECT_EQ(refused([] {
              void* const place = ::mmap(nullptr, 4096, PROT_READ | PROT_WRITE | PROT_EXEC,
                                         MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
              return place == MAP_FAILED ? -1L : 0L;
            }),
            7);
}
#endif

#ifndef MENDTONE_SANITIZED
TEST(Confine, MemoryHasItsLimit) {
  Limits limits;
  limits.memory_bytes = 100 << 20;
  const auto take = [&](std::size_t bytes) {
    return confined(limits, [bytes] {
      void* const place =
          ::mmap(nullptr, bytes, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
      return place == MAP_FAILED ? 1 : 7;
    });
  };
  EXPECT_EQ(take(50 << 20), 7);
  EXPECT_EQ(take(200 << 20), 1);
}
#endif

TEST(Confine, AStepThatDoesNotEndIsEnded) {
  Limits limits;
  limits.seconds_a_step = 1;
  EXPECT_EQ(confined(limits,
                     [] {
                       volatile bool forever = true;
                       while (forever) {
                       }
                       return 1;
                     }),
            200 + SIGPROF);
}

}  // namespace
}  // namespace mendtone::pictures::confine_test
