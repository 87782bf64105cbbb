#include "bench/launch.hpp"

#include <fcntl.h>
#include <signal.h>
#include <spawn.h>
#include <sys/file.h>
#include <sys/random.h>
#include <sys/signalfd.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <filesystem>

#include "mendtone/adapters/files.hpp"

namespace mendtone::bench {
namespace {

constexpr std::string_view letters =
    "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";

sigset_t ending_signals() {
  sigset_t set;
  ::sigemptyset(&set);
  for (int signal : {SIGINT, SIGTERM, SIGHUP}) ::sigaddset(&set, signal);
  return set;
}

std::string leading_to(const std::string& address) {
  return "<!doctype html><meta charset=\"utf-8\"><title>mendtone bench</title>"
         "<meta name=\"referrer\" content=\"no-referrer\">"
         "<meta http-equiv=\"refresh\" content=\"0;url=" +
         address + "\"><p><a href=\"" + address + "\">To the bench</a></p>\n";
}

/// The child keeps none of our signal settings.
Result<void> spawn(const char* program, const char* argument) {
  posix_spawnattr_t attributes;
  ::posix_spawnattr_init(&attributes);
  sigset_t none, usual;
  ::sigemptyset(&none);
  ::sigfillset(&usual);
  ::posix_spawnattr_setsigmask(&attributes, &none);
  ::posix_spawnattr_setsigdefault(&attributes, &usual);
  ::posix_spawnattr_setpgroup(&attributes, 0);
  ::posix_spawnattr_setflags(
      &attributes, POSIX_SPAWN_SETSIGMASK | POSIX_SPAWN_SETSIGDEF | POSIX_SPAWN_SETPGROUP);
  posix_spawn_file_actions_t files;
  ::posix_spawn_file_actions_init(&files);
  for (int fd : {0, 1, 2})
    ::posix_spawn_file_actions_addopen(&files, fd, "/dev/null", fd == 0 ? O_RDONLY : O_WRONLY, 0);
  char* arguments[] = {const_cast<char*>(program), const_cast<char*>(argument), nullptr};
  pid_t child = 0;
  const int fault = ::posix_spawnp(&child, program, &files, &attributes, arguments, environ);
  ::posix_spawn_file_actions_destroy(&files);
  ::posix_spawnattr_destroy(&attributes);
  if (fault == 0) return {};
  return outside_world(std::string("the browser could not be started: ") + std::strerror(fault));
}

}  // namespace

Result<std::string> new_secret() {
  std::array<unsigned char, 43> random{};
  for (std::size_t have = 0; have < random.size();) {
    const ssize_t got = ::getrandom(random.data() + have, random.size() - have, 0);
    if (got > 0)
      have += static_cast<std::size_t>(got);
    else if (errno != EINTR)
      return outside_world("this machine gives no random numbers");
  }
  std::string secret;
  for (unsigned char byte : random) secret += letters[byte % letters.size()];
  return secret;
}

Result<int> hold_signals() {
  ::signal(SIGPIPE, SIG_IGN);
  // The browser's starter is never waited for: the system takes it away when it ends.
  ::signal(SIGCHLD, SIG_IGN);
  const sigset_t set = ending_signals();
  const int fault = ::pthread_sigmask(SIG_BLOCK, &set, nullptr);
  const int fd = fault == 0 ? ::signalfd(-1, &set, SFD_CLOEXEC | SFD_NONBLOCK) : -1;
  if (fd < 0) return outside_world("this machine gives the program no more open files");
  return fd;
}

bool has_screen() {
  for (const char* name : {"DISPLAY", "WAYLAND_DISPLAY"})
    if (const char* value = std::getenv(name); value && *value) return true;
  return false;
}

BrowserStart::~BrowserStart() {
  std::error_code ignored;
  if (!folder_.empty()) std::filesystem::remove_all(folder_, ignored);
  if (lock_ >= 0) ::close(lock_);
}

namespace {

constexpr std::string_view folder_start = "mendtone-bench-";

/// The folder, locked; -1 where it is another person's, no folder, or locked by a bench that runs.
int locked_folder(const std::filesystem::path& path) {
  const int fd = ::open(path.c_str(), O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC);
  if (fd < 0) return -1;
  struct stat facts {};
  if (::fstat(fd, &facts) == 0 && facts.st_uid == ::geteuid() &&
      ::flock(fd, LOCK_EX | LOCK_NB) == 0)
    return fd;
  ::close(fd);
  return -1;
}

}  // namespace

void sweep_left_over_folders() {
  std::error_code fault;
  const auto all = std::filesystem::temp_directory_path(fault);
  if (fault) return;
  for (const auto& entry : std::filesystem::directory_iterator(all, fault)) {
    if (entry.path().filename().string().rfind(folder_start, 0) != 0) continue;
    const int lock = locked_folder(entry.path());
    if (lock < 0) continue;
    // No more than what stands in it: it is no place of ours if there is anything else.
    std::filesystem::remove(entry.path() / "bench.html", fault);
    std::filesystem::remove(entry.path(), fault);
    ::close(lock);
  }
}

Result<void> BrowserStart::open(const std::string& address) {
  std::error_code fault;
  const auto place = std::filesystem::temp_directory_path(fault);
  std::string folder = (place / (std::string(folder_start) + "XXXXXX")).string();
  if (fault || !::mkdtemp(folder.data()))
    return outside_world("the browser could not be started: no temporary folder");
  folder_ = folder;
  lock_ = locked_folder(folder_);
  const std::string file = folder_ + "/bench.html";
  if (auto written = write_file(file, leading_to(address)); !written) return written;
  return spawn("xdg-open", file.c_str());
}

}  // namespace mendtone::bench
