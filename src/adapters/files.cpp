#include "mendtone/adapters/files.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <vector>

#include "adapters/open_files.hpp"

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

/// A pipe, as a shell lays one in place of a file.
bool is_stream(const std::string& path) {
  struct stat status {};
  return ::stat(path.c_str(), &status) == 0 &&
         (S_ISFIFO(status.st_mode) || S_ISCHR(status.st_mode));
}

/// All that `read` gives, piece by piece, until it gives nothing more.
template <class Read>
Result<std::string> read_pieces(const std::string& path, std::size_t limit_bytes, Read read) {
  std::string bytes;
  std::vector<char> piece(1 << 16);
  for (;;) {
    const ssize_t got = read(piece.data(), piece.size(), bytes.size());
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) return refused(path, "cannot read the file");
    if (got == 0) return bytes;
    bytes.append(piece.data(), static_cast<std::size_t>(got));
    if (bytes.size() > limit_bytes)
      return outside_world("the file is larger than " + std::to_string(limit_bytes >> 20) +
                               " MiB, more than readings ever are",
                           path);
  }
}

Result<std::string> read_stream(const std::string& path, std::size_t limit_bytes) {
  const Descriptor stream{::open(path.c_str(), O_RDONLY | O_CLOEXEC)};
  if (stream.number < 0) return refused(path, "cannot open the file");
  return read_pieces(path, limit_bytes, [&](char* to, std::size_t size, std::size_t) {
    return ::read(stream.number, to, size);
  });
}

}  // namespace

Result<std::string> read_file(const std::string& path, std::size_t limit_bytes) {
  if (is_stream(path)) return read_stream(path, limit_bytes);
  auto file = RawFile::open(path);
  if (!file) return file.error();
  return read_pieces(path, limit_bytes, [&](char* to, std::size_t size, std::size_t done) {
    return file->read_at(to, size, done);
  });
}

Result<void> write_file(const std::string& path, std::string_view bytes) {
  std::string temporary = path + ".XXXXXX";
  Descriptor file{::mkstemp(temporary.data())};
  if (file.number < 0) return refused(path, "cannot write here");
  const bool whole = write_all(file.number, bytes) && ::fchmod(file.number, usual_mode()) == 0 &&
                     ::fsync(file.number) == 0 && ::rename(temporary.c_str(), path.c_str()) == 0;
  if (whole) return {};
  const Error error = refused(path, "cannot write the file");
  ::unlink(temporary.c_str());
  return error;
}

}  // namespace mendtone
