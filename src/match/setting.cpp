#include "mendtone/match/setting.hpp"

#include <cassert>

namespace mendtone {

std::vector<double> seen(const Setting& setting, std::span<const Slab> fill) {
  assert(fill.size() == setting.below.size());
  std::vector<double> R(fill.size());
  for (std::size_t i = 0; i < R.size(); ++i) {
    R[i] = over(fill[i], setting.below[i]);
    if (!setting.above.empty()) R[i] = over(setting.above[i], R[i]);
  }
  return R;
}

}  // namespace mendtone
