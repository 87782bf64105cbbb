#pragma once
#include <cmath>

#include "fuzz/demand.hpp"
#include "mendtone/formats/lamps.hpp"

namespace mendtone::fuzz {

/// Any bytes at all as a lamp file.
inline int feed_lamp(std::string_view bytes) {
  const auto file = read_lamps(bytes, "f");
  if (!file) {
    demand(!file.error().message.empty(), "a refusal says why");
    return 0;
  }
  demand(!file->lamps.empty(), "no file is read as no lamp");
  for (const Lamp& lamp : file->lamps) {
    demand(lamp.power.grid.size() == lamp.power.value.size(), "a value a band");
    for (const double value : lamp.power.value) demand(std::isfinite(value), "power is a number");
    // Lines that are denser than 1 nm are averaged within each nm: an end may move by as much.
    demand(lamp.power.grid.first() <= 401 && lamp.power.grid.last() >= 699,
           "it covers the visible");
    (void)light_of(lamp, "f");
  }
  return 0;
}

}  // namespace mendtone::fuzz
