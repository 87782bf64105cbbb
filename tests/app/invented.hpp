#pragma once
#include <cmath>

#include "mendtone/spectral/reading.hpp"

// Readings made in memory for the tests of the use-cases: invented, no real sheet was read.
namespace mendtone::test {

/// An aged paper: rises smoothly from blue to red; `shift` lifts all of it.
inline Reading paper(std::string name, double shift = 0, int bands = 36) {
  Reading reading;
  reading.name = std::move(name);
  reading.backing = "black";
  reading.condition = Condition::m2;
  reading.geometry = "45/0";
  reading.state = State::dry;
  reading.spectrum = Spectrum{WavelengthGrid::equal_steps(380, 10, static_cast<std::size_t>(bands)),
                              std::vector<double>(static_cast<std::size_t>(bands))};
  for (std::size_t i = 0; i < reading.spectrum->value.size(); ++i) {
    const double nm = reading.spectrum->grid.nm()[i];
    reading.spectrum->value[i] = 0.78 - 0.35 * std::exp(-(nm - 380) / 90) + shift;
  }
  return reading;
}

inline Reading lab_only(std::string name, double L, double a, double b, std::string light = "D50",
                        int observer_deg = 2) {
  Reading reading;
  reading.name = std::move(name);
  reading.condition = Condition::m2;
  reading.geometry = "45/0";
  reading.backing = "black";
  reading.state = State::dry;
  reading.lab = BoundLab{L, a, b, std::move(light), observer_deg};
  return reading;
}

}  // namespace mendtone::test
