#pragma once
#include <string>
#include <string_view>

#include "mendtone/base/result.hpp"

namespace mendtone {

/// SHA-256 in lower-case hexadecimal. Ref: fips180-4
std::string sha256(std::string_view bytes);

/// The same of a file of any size, read in pieces. Error outside_world when it cannot be read.
Result<std::string> sha256_of_file(const std::string& path);

}  // namespace mendtone
