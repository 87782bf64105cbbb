#pragma once
#include <string_view>

#include "mendtone/colour/light.hpp"

namespace mendtone::test {

/// Check figures commonly quoted stop the lamp at 780 nm; A and the daylights go on to 830 nm here.
inline Light cut_at_780(Light light) {
  std::vector<double> nm(light.power.grid.nm().begin(), light.power.grid.nm().end());
  while (nm.back() > 780) {
    nm.pop_back();
    light.power.value.pop_back();
  }
  light.power.grid = *WavelengthGrid::from_nm(std::move(nm));
  return light;
}

inline Light light_to_780(std::string_view name) {
  return cut_at_780(*standard_light(name));
}

}  // namespace mendtone::test
