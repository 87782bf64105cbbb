#pragma once
#include <span>

#include "mendtone/results/describe.hpp"

namespace mendtone::results {

/// Every request and answer: for the tests, the schemas and the page's types.
std::span<const Type* const> documents();

}  // namespace mendtone::results
