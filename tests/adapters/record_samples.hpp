#pragma once
#include "mendtone/record/store.hpp"

namespace mendtone::record {

// Invented entries of the Kestrel Bay pilot chart.

inline Entry entry(std::string why = {}) {
  return {"A. Conservator", "2026-03-14T09:26:53Z", std::move(why), "mendtone test"};
}

inline Sheet chart() {
  Sheet sheet;
  sheet.name = "pilot chart";
  sheet.object_id = "KB-1894-3";
  sheet.description = "lithographed pilot chart of Kestrel Bay";
  sheet.width_mm = 612.5;
  return sheet;
}

inline KeptReading margin(int repeat) {
  KeptReading kept;
  kept.reading.name = "margin";
  kept.reading.repeat = std::to_string(repeat);
  kept.reading.role = Role::target;
  kept.reading.backing = "white tile";
  std::vector<double> factor;
  for (int band = 0; band < 36; ++band) factor.push_back(0.4 + 0.01 * band + 0.0001 * repeat);
  kept.reading.spectrum = Spectrum{WavelengthGrid::equal_steps(380, 10, 36), factor};
  return kept;
}

}  // namespace mendtone::record
