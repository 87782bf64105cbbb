#pragma once
#include <functional>
#include <string>
#include <string_view>

#include "mendtone/base/result.hpp"

namespace mendtone {

/// SHA-256 in lower-case hexadecimal. Ref: fips180-4
std::string sha256(std::string_view bytes);

/// The same of a regular file of any size, read in pieces; `going` is asked after each and ends it.
/// Error outside_world when it cannot be read or is no regular file.
Result<std::string> sha256_of_file(const std::string& path,
                                   const std::function<Result<void>()>& going = {});

/// Of the file that lies under this very name: a symbolic link is refused, not followed.
Result<std::string> sha256_of_file_itself(const std::string& path);

}  // namespace mendtone
