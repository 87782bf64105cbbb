#include "adapters/sqlite_place.hpp"

#include <sys/vfs.h>

#include <filesystem>
#include <mutex>

namespace mendtone::sqlite {
namespace {

struct Network {
  unsigned long magic;
  const char* name;
};

/// As linux/magic.h, and the file systems' own sources where that lacks them, give them.
constexpr Network networks[] = {{0x6969, "NFS"},      {0xff534d42, "SMB"},  {0xfe534d42, "SMB"},
                                {0x517b, "SMB"},      {0x564c, "NCP"},      {0x5346414f, "AFS"},
                                {0x6b414653, "AFS"},  {0x73757245, "Coda"}, {0x00c36400, "Ceph"},
                                {0x01021997, "9P"},   {0x65735546, "FUSE"}, {0x0bd00bd0, "Lustre"},
                                {0x01161970, "GFS2"}, {0x7461636f, "OCFS2"}};

struct Pretended {
  std::mutex mutex;
  std::optional<std::string> network;
};

Pretended& pretended() {
  static auto* what = new Pretended;
  return *what;
}

}  // namespace

std::optional<std::string> network_of_magic(unsigned long magic) {
  for (const Network& network : networks)
    if (network.magic == magic) return network.name;
  return std::nullopt;
}

std::optional<std::string> network_of(const std::string& path) {
  {
    const std::lock_guard lock(pretended().mutex);
    if (pretended().network) return pretended().network;
  }
  struct statfs status {};
  std::string at = path;
  if (::statfs(at.c_str(), &status) != 0) {
    const auto folder = std::filesystem::path(path).parent_path();
    at = folder.empty() ? "." : folder.string();
    if (::statfs(at.c_str(), &status) != 0) return std::nullopt;
  }
  // The kernel's type is signed on some machines.
  return network_of_magic(static_cast<unsigned long>(status.f_type) & 0xffffffffUL);
}

void pretend_network(std::optional<std::string> network) {
  const std::lock_guard lock(pretended().mutex);
  pretended().network = std::move(network);
}

}  // namespace mendtone::sqlite
