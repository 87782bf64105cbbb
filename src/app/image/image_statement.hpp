#pragma once
#include "mendtone/app/image/image.hpp"

namespace mendtone::app {

/// Two or three lines, and its warnings.
std::string to_text(const PhotoStatement& photo, const std::string& heading);

}  // namespace mendtone::app
