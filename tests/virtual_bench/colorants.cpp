#include "virtual_bench/colorants.hpp"

#include <cmath>

namespace mendtone::virtual_bench {

double absorption(const InventedColorant& c, double nm) {
  double share = 1;
  if (c.edge_nm > 0)
    share = c.floor + (1 - c.floor) / (1 + std::exp((nm - c.edge_nm) / c.edge_width_nm));
  if (c.band_nm > 0) {
    const double t = (nm - c.band_nm) / c.band_width_nm;
    const double band = std::exp(-t * t / 2);
    share = c.edge_nm > 0 ? share + c.band_share * band : c.floor + (1 - c.floor) * band;
  }
  return c.strength * share * std::pow(550 / nm, c.slope);
}

double scattering(const InventedColorant& c, double nm) {
  return c.scattering * std::pow(550 / nm, 0.6);
}

double taken_up(const InventedColorant& c, double load) {
  return load > 0 ? std::pow(load, c.exponent) / (1 + load / c.saturation) : 0;
}

std::vector<InventedColorant> earths() {
  return {
      {"yellow ochre", "PY43", 1.7, 505, 17, 0.045, 650, 45, 0.035, 0.3, 0.45, 0.88, 25},
      {"gold ochre", "PY42", 2.3, 535, 16, 0.05, 670, 50, 0.04, 0.4, 0.40, 0.85, 22},
      {"red earth", "PR102", 2.6, 575, 12, 0.09, 660, 45, 0.05, 0.1, 0.55, 0.90, 20},
      {"umber", "PBr7", 1.9, 560, 60, 0.35, 0, 0, 0, 0.9, 0.25, 0.86, 24},
      {"sienna", "PBr7", 2.1, 555, 26, 0.10, 680, 60, 0.05, 0.6, 0.30, 0.92, 30},
      {"carbon black", "PBk9", 6.5, 0, 0, 0, 0, 0, 0, 0.35, 0.10, 0.84, 6},
  };
}

std::vector<InventedColorant> watercolours() {
  return {
      {"w lemon", "", 3.5, 480, 9, 0.004, 0, 0, 0, 0.2, 0.9, 0.92, 3},
      {"w yellow", "", 4.5, 510, 9, 0.005, 0, 0, 0, 0.2, 1.2, 0.90, 4},
      {"w orange", "", 4.2, 560, 11, 0.006, 0, 0, 0, 0.1, 0.8, 0.95, 3},
      {"w scarlet", "", 4.8, 592, 9, 0.006, 0, 0, 0, 0.0, 1.0, 0.88, 4},
      {"w rose", "", 3.4, 0, 0, 0.03, 530, 42, 1, 0.4, 0.15, 0.85, 3},
      {"w violet", "", 3.0, 0, 0, 0.04, 575, 50, 1, 0.0, 0.25, 0.90, 2.5},
      {"w deep blue", "", 3.8, 0, 0, 0.02, 600, 55, 1, 0.0, 0.20, 0.86, 3},
      {"w cyan blue", "", 4.6, 0, 0, 0.02, 650, 55, 1, -0.4, 0.12, 0.83, 2},
      {"w green", "", 3.9, 435, 22, 0.05, 660, 48, 0.9, 0.0, 0.25, 0.87, 3},
      {"w ochre", "", 2.4, 510, 18, 0.05, 650, 45, 0.04, 0.3, 0.9, 0.93, 4},
      {"w earth red", "", 3.2, 578, 13, 0.09, 660, 45, 0.05, 0.1, 1.1, 0.90, 4},
      {"w brown", "", 2.8, 560, 50, 0.30, 0, 0, 0, 0.8, 0.4, 0.91, 4},
      {"w black", "", 6.0, 0, 0, 0, 0, 0, 0, 0.2, 0.10, 0.84, 2},
  };
}

}  // namespace mendtone::virtual_bench
