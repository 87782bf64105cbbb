#include "adapters/open_files.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <map>
#include <mutex>
#include <vector>

namespace mendtone {
namespace {

/// A file that this process has open, through SQLite or by hand.
struct OpenFile {
  int connections = 0, readers = 0;
  std::vector<int> descriptors;  ///< ours; one, but for a name that changed hands meanwhile
};

/// Never destroyed: threads may outlive `main`.
struct OpenFileRegister {
  std::mutex mutex;
  std::map<FileKey, OpenFile> files;

  /// Ours are closed when nobody uses them, and SQLite has no lock left that this could take away.
  void forget_unused(const FileKey& key) {
    const auto found = files.find(key);
    if (found->second.connections > 0 || found->second.readers > 0) return;
    for (const int descriptor : found->second.descriptors) ::close(descriptor);
    files.erase(found);
  }
};

OpenFileRegister& open_file_register() {
  static auto* all = new OpenFileRegister;
  return *all;
}

Error cannot(const char* what, const std::string& path) {
  return outside_world(std::string(what) + ": " + std::strerror(errno), path);
}

FileKey key_of(const struct stat& status) {
  return {status.st_dev, status.st_ino};
}

std::string kind_of(mode_t mode) {
  if (S_ISDIR(mode)) return "a folder";
  if (S_ISFIFO(mode)) return "a pipe";
  if (S_ISSOCK(mode)) return "a socket";
  if (S_ISLNK(mode)) return "a link";
  return "a device";
}

}  // namespace

Result<RawFile> RawFile::open(const std::string& path, Links links) {
  OpenFileRegister& all = open_file_register();
  const std::lock_guard lock(all.mutex);
  struct stat status {};
  const bool follow = links == Links::follow;
  if ((follow ? ::stat : ::lstat)(path.c_str(), &status) != 0)
    return cannot("cannot open the file", path);
  if (!S_ISREG(status.st_mode))
    return outside_world("this is " + kind_of(status.st_mode) + ", not a file", path);
  if (const auto known = all.files.find(key_of(status));
      known != all.files.end() && !known->second.descriptors.empty()) {
    ++known->second.readers;
    return RawFile(known->first, known->second.descriptors.front());
  }
  // The name may lead elsewhere by now: to a pipe, on which a blocking open would wait for ever.
  const int descriptor = ::open(
      path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY | (follow ? 0 : O_NOFOLLOW));
  if (descriptor < 0) return cannot("cannot open the file", path);
  ::fstat(descriptor, &status);  // cannot fail on a descriptor just opened
  const FileKey key = key_of(status);
  OpenFile& file = all.files[key];
  file.descriptors.push_back(descriptor);
  if (!S_ISREG(status.st_mode)) {
    all.forget_unused(key);
    return outside_world("this is " + kind_of(status.st_mode) + ", not a file", path);
  }
  ++file.readers;
  return RawFile(key, descriptor);
}

RawFile::~RawFile() {
  if (key_ == FileKey{}) return;
  OpenFileRegister& all = open_file_register();
  const std::lock_guard lock(all.mutex);
  --all.files[key_].readers;
  all.forget_unused(key_);
}

ssize_t RawFile::read_at(void* to, std::size_t size, std::size_t offset) const {
  std::size_t have = 0;
  while (have < size) {
    const ssize_t got = ::pread(descriptor_, static_cast<char*>(to) + have, size - have,
                                static_cast<off_t>(offset + have));
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) return -1;
    if (got == 0) break;
    have += static_cast<std::size_t>(got);
  }
  return static_cast<ssize_t>(have);
}

std::size_t RawFile::size() const {
  struct stat status {};
  return ::fstat(descriptor_, &status) == 0 ? static_cast<std::size_t>(status.st_size) : 0;
}

Result<SqliteHasOpen> SqliteHasOpen::announce(const std::string& path) {
  struct stat status {};
  OpenFileRegister& all = open_file_register();
  const std::lock_guard lock(all.mutex);
  if (::stat(path.c_str(), &status) != 0) return cannot("cannot open the record", path);
  ++all.files[key_of(status)].connections;
  return SqliteHasOpen(key_of(status));
}

SqliteHasOpen::~SqliteHasOpen() {
  if (key_ == FileKey{}) return;
  OpenFileRegister& all = open_file_register();
  const std::lock_guard lock(all.mutex);
  --all.files[key_].connections;
  all.forget_unused(key_);
}

bool SqliteHasOpen::is_at(const std::string& path) const {
  struct stat status {};
  return ::stat(path.c_str(), &status) == 0 && key_of(status) == key_;
}

}  // namespace mendtone
