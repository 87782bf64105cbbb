#include "mendtone/adapters/files.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <memory>

namespace mendtone {
namespace {

Error refused(const std::string& path, const std::string& what) {
  return outside_world(what + ": " + std::strerror(errno), path);
}

/// Closes on leaving.
struct Descriptor {
  int number = -1;
  ~Descriptor() {
    if (number >= 0) ::close(number);
  }
};

bool write_all(int descriptor, std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t written = ::write(descriptor, bytes.data(), bytes.size());
    if (written < 0 && errno == EINTR) continue;
    if (written < 0) return false;
    bytes.remove_prefix(static_cast<std::size_t>(written));
  }
  return true;
}

/// New files get the permissions that the person's umask asks for, not mkstemp's private ones.
mode_t usual_mode() {
  const mode_t mask = ::umask(0);
  ::umask(mask);
  return 0666 & ~mask;
}

}  // namespace

Result<std::string> read_file(const std::string& path, std::size_t limit_bytes) {
  const Descriptor file{::open(path.c_str(), O_RDONLY | O_CLOEXEC)};
  if (file.number < 0) return refused(path, "cannot open the file");
  struct stat status {};
  if (::fstat(file.number, &status) != 0) return refused(path, "cannot read the file");
  if (S_ISDIR(status.st_mode)) return outside_world("this is a folder, not a file", path);
  std::string bytes;
  char chunk[1 << 16];
  for (;;) {
    const ssize_t got = ::read(file.number, chunk, sizeof chunk);
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) return refused(path, "cannot read the file");
    if (got == 0) return bytes;
    bytes.append(chunk, static_cast<std::size_t>(got));
    if (bytes.size() > limit_bytes)
      return outside_world("the file is larger than " + std::to_string(limit_bytes >> 20) +
                               " MiB, more than readings ever are",
                           path);
  }
}

Result<void> write_file(const std::string& path, std::string_view bytes) {
  std::string temporary = path + ".XXXXXX";
  Descriptor file{::mkstemp(temporary.data())};
  if (file.number < 0) return refused(path, "cannot write here");
  const bool whole = write_all(file.number, bytes) && ::fchmod(file.number, usual_mode()) == 0 &&
                     ::fsync(file.number) == 0 &&
                     ::rename(temporary.c_str(), path.c_str()) == 0;
  if (whole) return {};
  const Error error = refused(path, "cannot write the file");
  ::unlink(temporary.c_str());
  return error;
}

}  // namespace mendtone
