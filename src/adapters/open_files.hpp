#pragma once
#include <sys/types.h>

#include <string>
#include <utility>

#include "mendtone/base/result.hpp"

// POSIX takes away every lock that a process holds on a file as soon as the process closes any
// descriptor of that file, SQLite's locks in other threads included; two writers then write over
// each other. So whoever reads a file by hand closes it here, where it is known which files SQLite
// has open.

namespace mendtone {

/// Device and inode: what a file is, whatever it is called.
using FileKey = std::pair<dev_t, ino_t>;

/// A file as this process reads it by hand.
class RawFile {
 public:
  /// Whether a name that is a symbolic link leads on, or is refused.
  enum class Links { follow, refuse };
  /// Regular files only: a pipe or a device could hold the program up for ever. Error
  /// outside_world naming what was found.
  static Result<RawFile> open(const std::string& path, Links links = Links::follow);
  RawFile(RawFile&& other) noexcept
      : key_(std::exchange(other.key_, {})), descriptor_(other.descriptor_) {}
  RawFile& operator=(RawFile&& other) noexcept {
    std::swap(key_, other.key_);
    std::swap(descriptor_, other.descriptor_);
    return *this;
  }
  ~RawFile();

  /// Up to `size` bytes from `offset`; fewer at the end, -1 with errno where reading failed.
  ssize_t read_at(void* to, std::size_t size, std::size_t offset) const;
  /// To be handed to another process, never to be closed here.
  int descriptor() const { return descriptor_; }
  /// How long it is now.
  std::size_t size() const;

 private:
  RawFile(FileKey key, int descriptor) : key_(key), descriptor_(descriptor) {}

  FileKey key_;
  int descriptor_;
};

/// Says that SQLite is going to open the file at `path`, until it is destroyed; after SQLite closed
/// it. Nothing is closed by hand meanwhile.
class SqliteHasOpen {
 public:
  static Result<SqliteHasOpen> announce(const std::string& path);
  SqliteHasOpen(SqliteHasOpen&& other) noexcept : key_(std::exchange(other.key_, {})) {}
  SqliteHasOpen& operator=(SqliteHasOpen&& other) noexcept {
    std::swap(key_, other.key_);
    return *this;
  }
  ~SqliteHasOpen();

  FileKey key() const { return key_; }
  /// Whether `path` still leads to the file that was announced.
  bool is_at(const std::string& path) const;

 private:
  explicit SqliteHasOpen(FileKey key) : key_(key) {}
  FileKey key_{};
};

}  // namespace mendtone
