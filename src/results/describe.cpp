#include "mendtone/results/describe.hpp"

#include <deque>

#include "mendtone/results/walk.hpp"

namespace mendtone::results {

Type& Describe::kept() {
  static std::deque<Type> all;
  return all.emplace_back();
}

Value fresh(const Type& type) {
  return {&type, type.make()};
}

}  // namespace mendtone::results
