#pragma once
#include <functional>

#include "mendtone/base/result.hpp"

namespace mendtone {

/// Asked again and again while long work goes on, with how much of it is done (0 to 1); a refusal
/// ends the work, which hands it back. Empty: nobody asks.
using Going = std::function<Result<void>(double done)>;

}  // namespace mendtone
