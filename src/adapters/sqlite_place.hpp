#pragma once
#include <optional>
#include <string>

namespace mendtone::sqlite {

/// The kind of network that a file (or, where it is not there yet, its folder) lies on: "NFS",
/// "SMB" …; nothing for a disk of this machine. A write-ahead log is not safe there, for it needs
/// memory that all who have it open share.
std::optional<std::string> network_of(const std::string& path);

/// The kind of network that a number of statfs(2) stands for, as linux/magic.h has them.
std::optional<std::string> network_of_magic(unsigned long magic);

/// For tests, which can mount no share: what `network_of` says of every path, until asked again.
void pretend_network(std::optional<std::string> network);

}  // namespace mendtone::sqlite
